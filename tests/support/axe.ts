import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Page } from 'playwright'

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
/** WCAG 2.2 up to AA, and what axe-core calls best practice. */
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']

interface AxeResult {
  passes: unknown[]
  violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[]
}

/** What axe-core finds on the page as it stands, a line per rule. `rules`: tags or names of rules. The script goes in through the debugging protocol: the content policy stays on. */
export async function axeFindings(page: Page, rules: readonly string[] = TAGS): Promise<string[]> {
  await page.evaluate(SOURCE)
  const result = await page.evaluate(
    (runOnly) =>
      (globalThis as unknown as { axe: { run: (c: Document, o: object) => Promise<AxeResult> } }).axe.run(
        document,
        { runOnly },
      ),
    [...rules],
  )
  if (result.passes.length === 0) throw new Error('axe-core looked at nothing')
  return result.violations.map((v) => {
    const [node] = v.nodes
    return `${v.id} (${v.nodes.length}): ${node?.html.slice(0, 200)} ${node?.failureSummary ?? ''}`
  })
}
