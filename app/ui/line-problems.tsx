'use client'
import { useState } from 'react'
import type { RowProblem } from '@/lib/tables'
import { Button } from './button'
import { RefusalText } from './panels'
import { TicketSection } from './ticket'

const FIRST = 12

/** What is wrong with single lines of a list, each by its number. */
export function LineProblems({ title, problems }: { title: string; problems: readonly RowProblem[] }) {
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
