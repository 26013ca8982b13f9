'use client'
import { isBad } from '@/lib/tables'
import { LineProblems } from '@/app/ui'
import type { Import } from './use-import'

/** Every row that can't be read, by its line in the file; then those that can but look odd. */
export function ProblemsStep({ work }: { work: Import }) {
  // Rows of another day have one cause, and one note of their own.
  const problems = (work.understood.plan?.problems ?? []).filter((p) => !p.otherDay)
  const bad = problems.filter(isBad)
  const doubts = problems.filter((p) => !isBad(p))
  return (
    <>
      {bad.length > 0 && (
        <LineProblems
          title={`${bad.length} ${bad.length === 1 ? 'row' : 'rows'} that can’t be imported`}
          problems={bad}
        />
      )}
      {doubts.length > 0 && (
        <LineProblems
          title={
            doubts.length === 1
              ? '1 row to check; it is imported anyway'
              : `${doubts.length} rows to check; they are imported anyway`
          }
          problems={doubts}
        />
      )}
    </>
  )
}
