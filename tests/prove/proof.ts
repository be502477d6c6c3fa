/** Default export of each file of this folder: a long proof that isn't part of every test run. */
export interface Proof {
  readonly name: string;
  /** @returns true where it holds; what it found is printed */
  readonly run: (args: readonly string[]) => Promise<boolean>;
}
