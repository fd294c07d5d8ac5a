import type {
  AveragedProblem,
  FittedPart,
  PickedSlip,
  Slip,
  Whitened,
  WhitenedProducts,
} from './averaged-problem.ts';
import type { NormalPart } from './mixture.ts';
import type { Origin } from './ratio-sets.ts';

/** Works through the combinations of scenario, end correction and slips, the promising slips further, and keeps what weighs. */

/** A combination that weighs less than e^-10 of the heaviest changes no printed digit. */
const NEGLIGIBLE = 10;
/** Slips in one combination at the most; a run with more is beyond help. */
const MOST_SLIPS = 3;
/** Slips are looked into further where they hold at least this share of the whole. */
const WORTH_EXTENDING = 0.04;

type WeighedPart = FittedPart & { logWeight: number };

export class SlipSearch {
  readonly #problem: AveragedProblem;
  readonly #origin: Origin;
  readonly #whitened: readonly Whitened[];
  readonly #parts: WeighedPart[] = [];
  readonly #seen = new Set<string>();
  #heaviest = Number.NEGATIVE_INFINITY;

  constructor(problem: AveragedProblem, origin: Origin, whitened: readonly Whitened[]) {
    this.#problem = problem;
    this.#origin = origin;
    this.#whitened = whitened;
  }

  /** Heaviest first, weights adding up to 1; empty where nothing could be fitted. */
  search(): FittedPart[] {
    let promising: (readonly PickedSlip[])[] = [[]];
    this.#weigh([]);
    for (let count = 1; count <= MOST_SLIPS && promising.length > 0; count += 1) {
      const longer = promising.flatMap((picked) => this.#extensions(picked));
      for (const picked of longer) this.#weigh(picked);
      promising = this.#heavyAmong(longer);
    }
    return this.#normalised();
  }

  #normalised(): FittedPart[] {
    const kept = this.#parts.filter(({ logWeight }) => logWeight > this.#heaviest - NEGLIGIBLE);
    for (const part of kept) part.weight = Math.exp(part.logWeight - this.#heaviest);
    const whole = kept.reduce((sum, { weight }) => sum + weight, 0);
    for (const part of kept) part.weight /= whole;
    return kept.sort((a, b) => b.weight - a.weight);
  }

  /** One slip more; a combination that was looked at before is left out. */
  #extensions(picked: readonly PickedSlip[]): PickedSlip[][] {
    const longer = this.#problem.slips.flatMap(({ sizes }, slip) =>
      picked.some((one) => one.slip === slip) ? [] : sizes.map((_, size) => [...picked, { slip, size }]),
    );
    return longer.filter((slips) => {
      const key = slips
        .map(({ slip, size }) => `${slip}:${size}`)
        .sort()
        .join();
      const isNew = !this.#seen.has(key);
      this.#seen.add(key);
      return isNew;
    });
  }

  #heavyAmong(longer: readonly (readonly PickedSlip[])[]): (readonly PickedSlip[])[] {
    const among = new Set(longer);
    const shares = new Map<readonly PickedSlip[], number>();
    let whole = 0;
    for (const { slips, logWeight } of this.#parts) {
      const weight = Math.exp(logWeight - this.#heaviest);
      whole += weight;
      if (among.has(slips)) shares.set(slips, (shares.get(slips) ?? 0) + weight);
    }
    return [...shares].filter(([, share]) => share > WORTH_EXTENDING * whole).map(([slips]) => slips);
  }

  #weigh(slips: readonly PickedSlip[]): void {
    const logPrior = logPriorOf(this.#problem.slips, slips);
    for (const whitened of this.#whitened) {
      const products = productsGiven(whitened, this.#problem.slips, slips);
      const logWeight = whitened.logWeight + logPrior - products.logGrowth / 2;
      if (logWeight + mostEvidence(products) < this.#heaviest - NEGLIGIBLE) continue;
      this.#weighEnds(whitened, slips, products, logWeight);
    }
  }

  #weighEnds(
    { scenario }: Whitened,
    slips: readonly PickedSlip[],
    products: Products,
    logWeight: number,
  ): void {
    const { endCorrection } = this.#problem;
    for (let endPart = 0; endPart < endCorrection.length; endPart += 1) {
      const prior = endCorrection[endPart];
      const whole = logWeight + Math.log(prior.weight) + evidence(products, prior, this.#origin);
      if (!(whole > this.#heaviest - NEGLIGIBLE)) continue;
      this.#heaviest = Math.max(this.#heaviest, whole);
      const fitted = fitPart(products, prior, this.#origin);
      this.#parts.push({ ...fitted, weight: 0, logWeight: whole, scenario, endPart, slips });
    }
  }
}

const logPriorOf = (slips: readonly Slip[], picked: readonly PickedSlip[]): number =>
  picked.reduce((sum, { slip, size }) => sum + Math.log(slips[slip].sizes[size].probability), 0);

/** In units of the covariance with the slips in it. */
interface Products extends WhitenedProducts {
  /** Growth of the covariance's determinant by the slips, as a logarithm. */
  logGrowth: number;
}

/**
 * Each slip adds u²·h·hᵀ to the covariance: Sherman and Morrison's formula, one slip after another. Of a slip's vector, as the slips
 * before it left it, only its scalar products are needed, and they follow from those of the slips alone.
 */
function productsGiven(whitened: Whitened, slips: readonly Slip[], picked: readonly PickedSlip[]): Products {
  const whole = { ...whitened.products };
  let logGrowth = 0;
  /** `cross`: of a slip's own vector with those that the slips before it left. */
  const done: { share: number; y: number; b: number; a: number; cross: number[] }[] = [];
  for (const { slip, size } of picked) {
    let { own, y, b, a } = whitened.slipProducts[slip];
    const cross: number[] = [];
    for (const [before, one] of done.entries()) {
      let product = whitened.crossProduct(slip, picked[before].slip);
      for (let first = 0; first < before; first += 1)
        product -= done[first].share * cross[first] * one.cross[first];
      const part = one.share * product;
      own -= part * product;
      y -= part * one.y;
      b -= part * one.b;
      a -= part * one.a;
      cross.push(product);
    }
    const variance = slips[slip].sizes[size].u ** 2;
    const growth = 1 + variance * own;
    const share = variance / growth;
    whole.yy -= share * y * y;
    whole.yb -= share * y * b;
    whole.ya -= share * y * a;
    whole.bb -= share * b * b;
    whole.ba -= share * b * a;
    whole.aa -= share * a * a;
    logGrowth += Math.log(growth);
    done.push({ share, y, b, a, cross });
  }
  return { ...whole, logGrowth };
}

/** No end correction can explain more than one that is quite free. */
function mostEvidence({ yy, yb, ya, bb, ba, aa }: Products): number {
  const share = aa > 0 ? 1 / aa : 0;
  const left = bb - share * ba * ba;
  const lone = yy - share * ya * ya - (left > 0 ? (yb - share * ya * ba) ** 2 / left : 0);
  return -(Math.log(Math.max(left, 1e-12 * bb)) + Math.max(0, lone)) / 2;
}

/** Logarithm of the evidence of a part of the end correction's prior, but for what all parts share. */
function evidence({ yy, yb, ya, bb, ba, aa }: Products, prior: NormalPart, origin: Origin): number {
  const shift = prior.mean - origin.alphaCm;
  const growth = 1 + prior.variance * aa;
  const share = prior.variance / growth;
  // residuals at the prior's mean: y + shift·a
  const yaAt = ya + shift * aa;
  const ybAt = yb + shift * ba - share * yaAt * ba;
  const yyAt = yy + 2 * shift * ya + shift * shift * aa - share * yaAt * yaAt;
  const bbAt = bb - share * ba * ba;
  return -(Math.log(growth * bbAt) + Math.max(0, yyAt - (ybAt * ybAt) / bbAt)) / 2;
}

/** θ and α of one combination: α has a normal prior, θ none. */
function fitPart({ yb, ya, bb, ba, aa }: Products, prior: NormalPart, origin: Origin) {
  const shift = prior.mean - origin.alphaCm;
  const growth = 1 + prior.variance * aa;
  const share = prior.variance / growth;
  const yaAt = ya + shift * aa;
  const bbAt = bb - share * ba * ba;
  const baAt = ba / growth;
  const step = -(yb + shift * ba - share * yaAt * ba) / bbAt;
  return {
    mean: origin.theta + step,
    variance: 1 / bbAt,
    alphaCm: prior.mean - prior.variance * (yaAt / growth + step * baAt),
    alphaVariance: share + (prior.variance * baAt) ** 2 / bbAt,
  };
}
