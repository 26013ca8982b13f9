import { relative } from 'node:path'
import { BaseSequencer, type TestSpecification } from 'vitest/node'
import { LONG } from '../what-runs.ts'

/** Files in vitest's own order, but the long ones of each project first: one that starts last is waited for alone. */
export class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files)
    const place = (spec: TestSpecification) => {
      const at = LONG.indexOf(relative(this.ctx.config.root, spec.moduleId))
      return at < 0 ? LONG.length : at
    }
    const projects = [...new Set(sorted.map((s) => s.project.name))]
    return projects.flatMap((name) =>
      sorted.filter((s) => s.project.name === name).sort((a, b) => place(a) - place(b)),
    )
  }
}
