'use client'
import { useState } from 'react'
import { isBad, type RowProblem } from '@/lib/tables'
import { Button, RefusalText, TicketSection } from '../../../../ui'
import type { Import } from './use-import'

const FIRST = 12

/** Every row that can't be read, by its line in the file; then those that can but look odd. */
export function ProblemsStep({ work }: { work: Import }) {
  // Rows of another day have one cause, and one note of their own.
  const problems = (work.understood.plan?.problems ?? []).filter((p) => !p.otherDay)
  const bad = problems.filter(isBad)
  const doubts = problems.filter((p) => !isBad(p))
  return (
    <>
      {bad.length > 0 && (
        <ProblemList
          title={`${bad.length} ${bad.length === 1 ? 'row' : 'rows'} that can’t be imported`}
          problems={bad}
        />
      )}
      {doubts.length > 0 && (
        <ProblemList
          title={
            doubts.length === 1
              ? '1 row to look at; it is imported all the same'
              : `${doubts.length} rows to look at; they are imported all the same`
          }
          problems={doubts}
        />
      )}
    </>
  )
}

function ProblemList({ title, problems }: { title: string; problems: readonly RowProblem[] }) {
  const [all, setAll] = useState(false)
  const shown = all ? problems : problems.slice(0, FIRST)
  return (
    <>
      <TicketSection title={title} level={2} />
      <ul className="line-rows" aria-label={title}>
        {shown.map((p, i) => (
          <li key={`${p.line}.${i}`} data-severity={p.severity}>
            <span className="line-number num">
              {p.lastLine && p.lastLine > p.line ? `${p.line}–${p.lastLine}` : `line ${p.line}`}
            </span>
            <span>
              <RefusalText refusal={p} />
            </span>
          </li>
        ))}
      </ul>
      {problems.length > shown.length && (
        <div className="p-3">
          <Button onPress={() => setAll(true)}>Show all {problems.length}</Button>
        </div>
      )}
    </>
  )
}
