/** Seeds of the seasons that the verdict counts. Nothing was looked at on them, and nothing set by them, while the library's terms and priors were written. */
export const verdictSeed = 9_120_000
/** Seeds to build with. */
export const buildSeed = 30_000
