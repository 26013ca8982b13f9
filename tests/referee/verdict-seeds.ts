/**
 * Seeds of the seasons that the verdict counts. Nothing was looked at on them, and nothing set by them, while the library's terms and priors were written: those were set on
 * seeds from 30,000. Seasons from 9,120,000 were the verdict's until the lap's own error of a difference was widened after what they had shown; of those from 9,720,000 seven were looked at before what figures
 * tell of each other was set.
 */
export const verdictSeed = 9_760_000

/** The same for what learning, suggestions and test sessions are judged on; they were built on seasons from 30,000 and days from 1. */
export const learningSeed = 9_340_000
export const practiceDaySeed = 7_700_000
