import { BaseSequencer, type TestSpecification } from 'vitest/node'

/** The project of the files that take longest. */
export const LONG_ONES = 'long ones'

/** Files in vitest's own order, but the long ones first: one that starts last is waited for alone. */
export class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files)
    const isLong = (spec: TestSpecification) => spec.project.name === LONG_ONES
    return [...sorted.filter(isLong), ...sorted.filter((spec) => !isLong(spec))]
  }
}
