'use client'
import { useState } from 'react'
import type { ListPlan } from '@/lib/lists'
import { Button, LineProblems, TicketBody, TicketSection } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'

const FIRST = 20

/** What a list would change, before anything is written. */
export function ListPreview({
  plan,
  onWrite,
  onDrop,
}: {
  plan: ListPlan
  onWrite: () => void
  onDrop: () => void
}) {
  const [all, setAll] = useState(false)
  const { changes, refused, problems, unknown } = plan
  const shown = all ? changes : changes.slice(0, FIRST)
  const sums = [
    plan.added > 0 && `${plan.added} new`,
    plan.changed > 0 && `${plan.changed} changed`,
    `${plan.same} the same`,
    plan.missing > 0 && `${plan.missing} not in the file: they stay`,
  ].filter(Boolean)
  return (
    <>
      <TicketSection
        title="What would change"
        level={3}
        aside={<span className="num">{changes.length}</span>}
      />
      <TicketBody>
        <p role="status">Rows: {sums.join(', ')}.</p>
        {unknown.length > 0 && (
          <p className="small">Columns that this list does not have: {unknown.join(', ')}.</p>
        )}
      </TicketBody>
      {shown.length > 0 && (
        <RuledTable label="What would change" head={['Row', 'Column', 'Now', 'Then']}>
          <tbody>
            {shown.map((c) => (
              <tr key={`${c.recordId}.${c.field}`}>
                <th scope="row" dir="auto">
                  {c.isNew ? `New, line ${c.line}` : c.name}
                </th>
                <td>{c.label}</td>
                <td dir="auto">{c.was || '–'}</td>
                <td dir="auto">{c.is || '–'}</td>
              </tr>
            ))}
          </tbody>
        </RuledTable>
      )}
      {changes.length > shown.length && (
        <TicketBody>
          <Button onPress={() => setAll(true)}>Show all {changes.length}</Button>
        </TicketBody>
      )}
      {refused.length > 0 && (
        <LineProblems
          title={refused.length === 1 ? '1 value is left out' : `${refused.length} values are left out`}
          problems={refused.map(({ change, why }) => ({ ...why, line: change.line, severity: 'bad' }))}
        />
      )}
      {problems.length > 0 && (
        <LineProblems
          title={problems.length === 1 ? '1 row is left out' : `${problems.length} rows are left out`}
          problems={problems}
        />
      )}
      <TicketBody>
        <div className="btn-row">
          <Button look="do" isDisabled={changes.length === 0} onPress={onWrite}>
            {changes.length === 0
              ? 'Nothing to write'
              : `Write ${changes.length} ${changes.length === 1 ? 'value' : 'values'}`}
          </Button>
          <Button onPress={onDrop}>Cancel</Button>
        </div>
      </TicketBody>
    </>
  )
}
