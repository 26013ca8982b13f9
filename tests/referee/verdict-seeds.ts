/** Seeds of the seasons that the verdict counts. Nothing was looked at on them, and nothing set by them, while the library's terms and priors were written. */
export const verdictSeed = 7_310_000
/** Seeds to build with. */
export const buildSeed = 10_000
