/** Truth of a reference set, as far as scoring needs it. */
export interface SetTruth {
  readonly setups: readonly { readonly id: string; readonly rotation_symmetry_deg?: number }[];
  readonly frames: readonly {
    readonly file: string;
    readonly setup: string;
    readonly role: string;
    readonly usable: boolean;
    readonly refuse_reason: string | null;
    readonly rotation_deg: number;
    readonly blur_deg: number;
    readonly occluders: readonly string[];
  }[];
}

export interface ScoredLine {
  readonly setup: string;
  readonly frame: string;
  readonly rotationDeg: number | null;
  readonly sigmaDeg: number | null;
  readonly accepted: boolean;
  readonly reason: string | null;
  readonly modulusDeg: number;
}

export interface WheelScore {
  readonly usable: number;
  readonly acceptedUsable: number;
  readonly unusable: number;
  readonly acceptedUnusable: number;
  readonly setupsNotFound: readonly string[];
  readonly medianDeg: number;
  readonly p95Deg: number;
  readonly maxDeg: number;
  readonly within1Sigma: number;
  readonly within2Sigma: number;
  readonly verdicts: readonly {
    readonly what: string;
    readonly value: number;
    readonly limit: string;
    readonly ok: boolean;
  }[];
  /** Frame, error and remark of what went wrong or was refused. */
  readonly remarks: readonly string[];
  readonly ok: boolean;
}

/** Position of a sorted list below which the share `p` lies. */
function quantile(sorted: readonly number[], p: number): number {
  return sorted.length === 0
    ? Number.NaN
    : (sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] as number);
}

/** Compares readings with truth by the rules of the fixtures' README. */
export function scoreWheel(truth: SetTruth, lines: readonly ScoredLine[], foundByItself: boolean): WheelScore {
  const byFrame = new Map(lines.map((l) => [l.frame, l]));
  const symmetry = new Map(truth.setups.map((s) => [s.id, s.rotation_symmetry_deg ?? 360]));
  const errors: number[] = [];
  let within1 = 0;
  let within2 = 0;
  let usable = 0;
  let acceptedUsable = 0;
  let unusable = 0;
  let acceptedUnusable = 0;
  const remarks: string[] = [];
  for (const f of truth.frames) {
    if (f.role === 'reference') continue;
    const line = byFrame.get(f.file);
    const accepted = line?.accepted === true && line.rotationDeg !== null && line.sigmaDeg !== null;
    if (!f.usable) {
      unusable++;
      if (accepted) {
        acceptedUnusable++;
        remarks.push(`${f.file} (${f.refuse_reason}): unusable, yet read as ${line.rotationDeg}`);
      }
      continue;
    }
    usable++;
    if (!accepted) {
      remarks.push(`${f.file}: refused: ${line?.reason ?? 'no line'}`);
      continue;
    }
    // Modulo an angle after which the face doesn't repeat counts as wrong by that angle.
    const repeats = symmetry.get(f.setup) ?? 360;
    const modulus = Math.max(line.modulusDeg, repeats);
    const miss = (line.rotationDeg as number) - f.rotation_deg;
    const error = line.modulusDeg < repeats ? line.modulusDeg : Math.abs(miss - modulus * Math.round(miss / modulus));
    const sigma = line.sigmaDeg as number;
    acceptedUsable++;
    errors.push(error);
    if (error <= sigma) within1++;
    if (error <= 2 * sigma) within2++;
    if (error > 0.02 || error > 2 * sigma)
      remarks.push(
        `${f.file}: error ${error.toFixed(4)}, sigma ${sigma.toFixed(4)}, blur ${f.blur_deg}${f.occluders.length > 0 ? `, ${f.occluders.join('+')}` : ''}`,
      );
  }
  const ids = truth.setups.map((s) => s.id);
  const setupsNotFound = ids.filter((id) => {
    const own = lines.filter((l) => l.setup === id);
    return own.length === 0 || own.every((l) => l.reason === 'wheel_not_found');
  });
  errors.sort((a, b) => a - b);
  const n = Math.max(1, errors.length);
  const share = acceptedUsable / Math.max(1, usable);
  const figures = {
    medianDeg: quantile(errors, 0.5),
    p95Deg: quantile(errors, 0.95),
    maxDeg: errors.length > 0 ? (errors[errors.length - 1] as number) : Number.NaN,
    within1Sigma: within1 / n,
    within2Sigma: within2 / n,
  };
  const least = foundByItself ? 0.85 : 0.97;
  const verdicts = [
    { what: 'usable frames accepted, share', value: share, limit: `>= ${least}`, ok: share >= least },
    { what: 'unusable frames accepted', value: acceptedUnusable, limit: '0', ok: acceptedUnusable === 0 },
    { what: 'median error, deg', value: figures.medianDeg, limit: '<= 0.005', ok: figures.medianDeg <= 0.005 },
    { what: '95 % of errors within, deg', value: figures.p95Deg, limit: '<= 0.02', ok: figures.p95Deg <= 0.02 },
    { what: 'largest error, deg', value: figures.maxDeg, limit: '<= 0.1', ok: figures.maxDeg <= 0.1 },
    {
      what: 'errors within 1 sigma, share',
      value: figures.within1Sigma,
      limit: '0.60..0.95',
      ok: figures.within1Sigma >= 0.6 && figures.within1Sigma <= 0.95,
    },
    {
      what: 'errors within 2 sigma, share',
      value: figures.within2Sigma,
      limit: '>= 0.95',
      ok: figures.within2Sigma >= 0.95,
    },
    {
      what: 'wheels not found',
      value: setupsNotFound.length,
      limit: foundByItself ? '<= 1 in 10' : '0',
      ok: setupsNotFound.length <= (foundByItself ? Math.max(1, Math.floor(ids.length / 10)) : 0),
    },
  ];
  return {
    usable,
    acceptedUsable,
    unusable,
    acceptedUnusable,
    setupsNotFound,
    ...figures,
    verdicts,
    remarks,
    ok: verdicts.every((v) => v.ok),
  };
}
