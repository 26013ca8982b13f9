import type { Refusal } from '@/lib/core/result'
import { RefusalText } from '@/app/ui'

/** Faults named at once; the rest shows as these are mended. */
const NAMED = 4

/** What is wrong with a typed list, the first few in words. */
export function NamedProblems({ problems }: { problems: readonly Refusal[] }) {
  return (
    <ul>
      {problems.slice(0, NAMED).map((p, i) => (
        <li key={i}>
          <RefusalText refusal={p} />
        </li>
      ))}
      {problems.length > NAMED && <li>And {problems.length - NAMED} more.</li>}
    </ul>
  )
}
