'use client'
import { useBoard } from '@/app/sync'
import type { RunResult } from '@/lib/board'
import { heatTitleText, titleOfHeat } from '@/lib/running-order'
import type { PlannedHeat, PlannedRow } from '@/lib/results'
import { resultText } from '@/app/words/debrief-words'
import { TicketSection } from '@/app/ui'

const STATUS_WORDS = { new: 'new', same: 'same', changed: 'changed' } as const

/** Exactly what would be on the board, heat by heat, the team's cars first. */
export function ListPreview({ heats }: { heats: readonly PlannedHeat[] }) {
  const view = useBoard()
  return (
    <>
      {heats.map((h) => (
        <section key={h.heat.id} aria-label={heatTitleText(titleOfHeat(view, h.heat))}>
          <TicketSection
            title={heatTitleText(titleOfHeat(view, h.heat))}
            level={2}
            aside={<span className="num">{h.rows.length}</span>}
          />
          <div
            className="table-scroll"
            tabIndex={0}
            role="region"
            aria-label={`Preview of ${heatTitleText(titleOfHeat(view, h.heat))}`}
          >
            <table className="data-table">
              <thead>
                <tr>
                  <th scope="col" className="is-number">
                    Line
                  </th>
                  <th scope="col">Driver</th>
                  <th scope="col">In the list</th>
                  <th scope="col">On the board</th>
                </tr>
              </thead>
              <tbody>
                {[...h.rows]
                  .sort((a, b) => Number(b.isOurs) - Number(a.isOurs) || a.line - b.line)
                  .map((r) => (
                    <tr key={r.entryId} data-status={r.status}>
                      <td className="is-number">{r.line}</td>
                      <th scope="row">
                        {r.isOurs ? <b>{r.driver}</b> : r.driver}
                        <span className="small block">
                          {r.isOurs ? 'ours, ' : ''}by {r.by}
                        </span>
                      </th>
                      <td>{valueText(r)}</td>
                      <td>
                        <b>{STATUS_WORDS[r.status]}</b>
                        {r.status === 'changed' && r.was && (
                          <span className="small block">was {valueText({ ...r, value: r.was })}</span>
                        )}
                      </td>
                    </tr>
                  ))}
              </tbody>
            </table>
          </div>
          {h.unlisted.length > 0 && (
            <p className="ticket-body small">
              Not in the list, so left as they are: {h.unlisted.join(', ')}.
            </p>
          )}
        </section>
      ))}
    </>
  )
}

function valueText({ field, value }: Pick<PlannedRow, 'field' | 'value'>): string {
  if (field === 'result') return resultText(value as RunResult)
  const laps = value as number[]
  const best = Math.min(...laps)
  return `${laps.length} laps, best ${best.toFixed(2)} s`
}
