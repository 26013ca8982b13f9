/**
 * Seeds of the seasons that the verdict counts. Nothing was looked at on them, and nothing set by them, while the library's terms and priors were written: those were set on
 * seeds from 30,000.
 */
export const verdictSeed = 9_120_000
