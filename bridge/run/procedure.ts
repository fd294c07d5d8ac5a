/** What a run measures: two EMFs against each other, or one cell's internal resistance. */
export const PROCEDURES = ['emf-comparison', 'internal-resistance'] as const;

export type Procedure = (typeof PROCEDURES)[number];

/** Of a run that says nothing of it. */
export const DEFAULT_PROCEDURE: Procedure = 'emf-comparison';
