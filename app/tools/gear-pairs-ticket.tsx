'use client'
import { useState } from 'react'
import { rankGearPairs, rollout } from '@/lib/setup-math'
import { NumberEntry, Ticket, TicketBody, TicketHead } from '../ui'

const FIELDS = [
  { id: 'target', label: 'Rollout wanted', unit: 'mm/turn', min: 5, max: 200, start: 43.18 },
  { id: 'internalRatio', label: 'Internal ratio', unit: '', min: 0.5, max: 10, start: 2.6 },
  { id: 'tire', label: 'Driven tire diameter', unit: 'mm', min: 40, max: 150, start: 83 },
  { id: 'pinionFrom', label: 'Pinions from', unit: 't', min: 8, max: 60, step: 1, start: 28 },
  { id: 'pinionTo', label: 'Pinions to', unit: 't', min: 8, max: 60, step: 1, start: 34 },
  { id: 'spurFrom', label: 'Spurs from', unit: 't', min: 30, max: 140, step: 1, start: 69 },
  { id: 'spurTo', label: 'Spurs to', unit: 't', min: 30, max: 140, step: 1, start: 75 },
] as const
type Id = (typeof FIELDS)[number]['id']
const SHOWN = 12

const upTo = (from: number, to: number) =>
  Array.from({ length: Math.max(0, Math.min(60, to - from + 1)) }, (_, i) => from + i)

/** Which pairs of the gears at hand come nearest to a rollout. */
export function GearPairsTicket() {
  const [values, setValues] = useState<Record<Id, number>>(
    () => Object.fromEntries(FIELDS.map((f) => [f.id, f.start])) as Record<Id, number>,
  )
  const targetFinalDrive = (Math.PI * values.tire) / values.target
  const pairs = rankGearPairs({
    pinions: upTo(values.pinionFrom, values.pinionTo),
    spurs: upTo(values.spurFrom, values.spurTo),
    internalRatio: values.internalRatio,
    targetFinalDrive,
  }).slice(0, SHOWN)
  return (
    <Ticket as="article" id="gear-pairs" label="Gear pairs">
      <TicketHead title="Gear pairs" sub="The gears at hand, nearest to a rollout first." />
      <div className="tool-fields">
        {FIELDS.map((f) => (
          <NumberEntry
            key={f.id}
            label={f.label}
            value={values[f.id]}
            onChange={(v) => v !== null && setValues((all) => ({ ...all, [f.id]: v }))}
            min={f.min}
            max={f.max}
            step={'step' in f ? f.step : undefined}
            unit={f.unit || undefined}
            hint={`${f.min} to ${f.max}`}
          />
        ))}
      </div>
      {pairs.length === 0 ? (
        <p className="ticket-body">No pair: the first number of a range must not be above the second.</p>
      ) : (
        <div className="table-scroll" tabIndex={0} role="region" aria-label="Nearest gear pairs">
          <table className="data-table">
            <thead>
              <tr>
                <th scope="col">Pair</th>
                <th scope="col" className="is-number">
                  Ratio
                </th>
                <th scope="col" className="is-number">
                  Rollout, mm
                </th>
                <th scope="col" className="is-number">
                  Off, %
                </th>
              </tr>
            </thead>
            <tbody>
              {pairs.map((p) => (
                <tr key={`${p.pinion}/${p.spur}`}>
                  <th scope="row" className="num">
                    {p.pinion}/{p.spur}
                  </th>
                  <td className="is-number">{p.finalDrive.toFixed(3)}</td>
                  <td className="is-number">
                    {rollout({ tireDiameterMm: values.tire, finalDrive: p.finalDrive }).toFixed(2)}
                  </td>
                  <td className="is-number">{(-100 * p.offTarget).toFixed(2)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <TicketBody>
        <details className="tool-example">
          <summary>Worked example</summary>
          <p>31 on 72 with 2.6 on 83 mm rolls 43.18 mm per motor turn: it stands first for that rollout.</p>
          <p className="small">Rollout = π × tire diameter / final drive ratio; arithmetic.</p>
        </details>
      </TicketBody>
    </Ticket>
  )
}
