/** What a benchmark measured, and what it promised. */
export interface BenchResult {
  readonly figures: readonly { readonly what: string; readonly value: number; readonly unit: string }[];
  readonly limits: readonly {
    readonly what: string;
    readonly value: number;
    readonly limit: number;
    readonly ok: boolean;
  }[];
}

/** Default export of each file of this folder. */
export interface Bench {
  readonly name: string;
  readonly run: () => Promise<BenchResult>;
}
