'use client'
import { inputLabel, type Comparison, type ProjectionInput } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { Note, RefusalText, Ticket, TicketHead, useSpeedUnit } from '@/app/ui'
import { EnergyBar } from '@/app/card/energy-bar'
import type { WhatIfState } from '@/app/card/use-what-if-desk'
import { ThreadNote } from '@/app/threads/thread-note'

const fixed = (x: number, digits: number) => figureText(x, { digits })
const signed = (x: number, digits: number) => (x > 0 ? '+' : x < 0 ? '−' : '±') + fixed(Math.abs(x), digits)

type Difference = Comparison['differences'][number]
const inOwnUnit = (d: Difference, unit: SpeedUnit): Difference =>
  d.unit !== 'm/s'
    ? d
    : {
        ...d,
        unit,
        digits: speedDigits(d.digits, unit),
        today: inSpeedUnit(d.today, unit),
        trial: inSpeedUnit(d.trial, unit),
        plusMinus: inSpeedUnit(d.plusMinus, unit),
      }

/** Today and the trial in figures; the ± is that of the difference, in which what both share cancels. */
export function DifferenceTable({
  state,
  inputs,
  stale,
}: {
  state: WhatIfState<'compare'>
  /** Of the trial, for the names of the inputs. */
  inputs: readonly ProjectionInput[]
  stale: boolean
}) {
  const c = state.answer
  const speeds = useSpeedUnit()
  const differences = (c?.differences ?? []).map((d) => inOwnUnit(d, speeds))
  return (
    <Ticket label="Differences">
      <TicketHead
        title="Today and the trial"
        sub={
          stale
            ? 'from the last trial that could be projected'
            : state.stale
              ? 'working on the latest change'
              : 'projected, not measured'
        }
      />
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      {c?.problem && (
        <Note tone="hot">
          {typeof c.problem === 'string' ? c.problem : <RefusalText refusal={c.problem} />}
        </Note>
      )}
      {!c && !state.failed && <p className="ticket-body">Simulating both laps …</p>}
      {differences.length > 0 && (
        <div className="table-scroll" tabIndex={0} role="region" aria-label="Today and the trial">
          <table className="data-table what-if-table" data-stale={stale || state.stale ? '' : undefined}>
            <thead>
              <tr>
                <th scope="col">Figure</th>
                <th scope="col" className="is-number">
                  Today
                </th>
                <th scope="col" className="is-number">
                  Trial
                </th>
                <th scope="col" className="is-number">
                  Difference
                </th>
                <th scope="col">Most of the ± comes from</th>
              </tr>
            </thead>
            <tbody>
              {differences.map((d) => {
                const by = d.trial - d.today
                const sure = Math.abs(by) > d.plusMinus && by !== 0
                return (
                  <tr key={d.key} data-difference={d.key}>
                    <th scope="row">
                      {d.label}
                      {d.unit && <span className="small">, {d.unit}</span>}
                    </th>
                    <td className="is-number">{fixed(d.today, d.digits)}</td>
                    <td className="is-number">{fixed(d.trial, d.digits)}</td>
                    <td className="is-number">
                      {by === 0 ? (
                        'same'
                      ) : (
                        <>
                          {sure ? <b>{signed(by, d.digits)}</b> : signed(by, d.digits)}
                          {d.plusMinus > 0 && (
                            <span className="spread"> ±{fixed(d.plusMinus, d.digits)}</span>
                          )}
                          {!sure && d.plusMinus > 0 && <span className="small"> too close to call</span>}
                        </>
                      )}
                    </td>
                    <td className="small">
                      {by !== 0 &&
                        d.rests
                          .slice(0, 2)
                          .map((r) => inputLabel(r.id, inputs))
                          .join(', ')}
                    </td>
                  </tr>
                )
              })}
            </tbody>
          </table>
        </div>
      )}
      {c?.energy && (
        <div className="ticket-body">
          <EnergyBar parts={c.energy.trial} today={c.energy.today} />
        </div>
      )}
    </Ticket>
  )
}
