import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Page } from 'playwright'

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
/** WCAG 2.2 up to AA, and what axe-core calls best practice. */
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']

interface Finding {
  id: string
  nodes: { html: string; failureSummary?: string }[]
}
interface Axe {
  run: (c: Document, o: object) => Promise<{ passes: unknown[]; violations: Finding[] }>
}

/** What axe-core finds on the page as it stands, a line per rule. `rules`: tags or names of rules. The script goes in through the debugging protocol: the content policy stays on. */
export async function axeFindings(page: Page, rules: readonly string[] = TAGS): Promise<string[]> {
  await page.evaluate(SOURCE)
  const { passed, violations } = await page.evaluate(
    async (runOnly) => {
      const { axe } = globalThis as unknown as { axe: Axe }
      // Of what passes nothing is described, and nothing of it leaves the page: on a full card that is most of the work.
      const found = await axe.run(document, { runOnly, resultTypes: ['violations'] })
      return { passed: found.passes.length, violations: found.violations }
    },
    [...rules],
  )
  if (passed === 0) throw new Error('axe-core looked at nothing')
  return violations.map((v) => {
    const [node] = v.nodes
    return `${v.id} (${v.nodes.length}): ${node?.html.slice(0, 200)} ${node?.failureSummary ?? ''}`
  })
}
