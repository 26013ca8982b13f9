'use client'
import { useState } from 'react'
import type { GearRow } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits } from '@/lib/core/speed-unit'
import { Button, NumberEntry, Ticket, TicketBody, TicketHead, useSpeedUnit } from '@/app/ui'
import type { WhatIfState } from '@/app/card/use-what-if-desk'
import { ThreadNote } from '@/app/threads/thread-note'

export interface GearRange {
  pinionFrom: number
  pinionTo: number
  spurFrom: number
  spurTo: number
}

const f = (x: number | null, digits: number) => (x === null ? '–' : figureText(x, { digits }))
const SHOWN = 12

/** Every pair of gears at hand with what it does; those that the motor mount takes are marked. */
export function GearingPart({
  state,
  range,
  onRange,
  hasSlot,
  sameSpeed,
  stale,
  onTry,
}: {
  state: WhatIfState<'gearing'>
  range: GearRange
  onRange: (range: GearRange) => void
  hasSlot: boolean
  sameSpeed: number | null
  stale: boolean
  onTry: (pair: { pinion: number; spur: number }) => void
}) {
  const speeds = useSpeedUnit()
  const [all, setAll] = useState(false)
  const rows = state.answer ?? []
  const shown = all ? rows : rows.slice(0, SHOWN)
  const entry = (key: keyof GearRange, label: string, min: number, max: number) => (
    <NumberEntry
      label={label}
      value={range[key]}
      onChange={(v) => v !== null && onRange({ ...range, [key]: v })}
      min={min}
      max={max}
      step={1}
      unit="t"
    />
  )
  return (
    <Ticket label="Gearing sweep" id="gearing">
      <TicketHead
        title={sameSpeed === null ? 'Gearing sweep' : 'Same speed as today'}
        sub={
          sameSpeed === null
            ? 'pairs closest to the trial’s ratio first'
            : `the trial’s motor, pack or tires match today’s speed at a final drive ratio of ${f(sameSpeed, 3)}; closest pairs first`
        }
      />
      <TicketBody>
        <div className="trial-fields">
          {entry('pinionFrom', 'Pinions from', 8, 60)}
          {entry('pinionTo', 'Pinions to', 8, 60)}
          {entry('spurFrom', 'Spurs from', 30, 140)}
          {entry('spurTo', 'Spurs to', 30, 140)}
        </div>
        {!hasSlot && (
          <p className="small">
            To know which pairs fit the motor mount, enter the car’s gear module and slot in the kit.
          </p>
        )}
      </TicketBody>
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      {rows.length === 0 ? (
        <p className="ticket-body">{state.answer ? 'No pair in this range.' : 'Simulating the pairs …'}</p>
      ) : (
        <>
          <div className="table-scroll" tabIndex={0} role="region" aria-label="Gear pairs">
            <table className="data-table what-if-table" data-stale={stale || state.stale ? '' : undefined}>
              <thead>
                <tr>
                  <th scope="col">Pair</th>
                  <th scope="col">Fits</th>
                  <th scope="col" className="is-number">
                    Ratio
                  </th>
                  <th scope="col" className="is-number">
                    Rollout
                  </th>
                  <th scope="col" className="is-number">
                    Top {speeds}
                  </th>
                  <th scope="col" className="is-number">
                    Lap s
                  </th>
                  <th scope="col" className="is-number">
                    Can °C
                  </th>
                  <th scope="col" className="is-number">
                    mAh
                  </th>
                  <th scope="col">
                    <span className="visually-hidden">Act</span>
                  </th>
                </tr>
              </thead>
              <tbody>
                {shown.map((r) => (
                  <PairRow key={`${r.pinion}/${r.spur}`} row={r} onTry={onTry} />
                ))}
              </tbody>
            </table>
          </div>
          {rows.length > SHOWN && (
            <TicketBody>
              <Button look="quiet" onPress={() => setAll(!all)} aria-expanded={all}>
                {all ? `Only the closest ${SHOWN}` : `All ${rows.length} pairs`}
              </Button>
            </TicketBody>
          )}
        </>
      )}
    </Ticket>
  )
}

function PairRow({
  row: r,
  onTry,
}: {
  row: GearRow
  onTry: (pair: { pinion: number; spur: number }) => void
}) {
  const speeds = useSpeedUnit()
  return (
    <tr data-fits={r.fits === undefined ? undefined : String(r.fits)} data-pair={`${r.pinion}/${r.spur}`}>
      <th scope="row" className="num">
        {r.pinion}/{r.spur}
        {r.toothSteps === 0 && <span className="small"> today</span>}
      </th>
      <td>{r.fits === undefined ? '?' : r.fits ? 'fits' : 'not in the slot'}</td>
      <td className="is-number">{f(r.finalDrive, 3)}</td>
      <td className="is-number">{f(r.rolloutMm, 2)}</td>
      <td className="is-number">
        {f(r.topMps === null ? null : inSpeedUnit(r.topMps, speeds), speedDigits(2, speeds))}
      </td>
      <td className="is-number">{f(r.lapS, 2)}</td>
      <td className="is-number">{f(r.canC, 0)}</td>
      <td className="is-number">{f(r.chargeUsedMah, 0)}</td>
      <td>
        <Button onPress={() => onTry(r)}>Try it</Button>
      </td>
    </tr>
  )
}

/** On which straights turbo fires as its delay is swept, and what the lap becomes. */
export function TurboPart({
  state,
  label,
  now,
  stale,
}: {
  state: WhatIfState<'turbo'>
  /** The team's own label of the delay. */
  label: string
  now: number | null
  stale: boolean
}) {
  const rows = state.answer ?? []
  return (
    <Ticket label="Turbo delay sweep" id="turbo">
      <TicketHead title={label} sub="the straights it fires on, and the lap time" />
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      {rows.length === 0 ? (
        <p className="ticket-body">
          {state.answer ? 'Turbo is off in the trial, or there is no track.' : 'Sweeping the delay …'}
        </p>
      ) : (
        <div
          className="table-scroll"
          tabIndex={0}
          role="region"
          aria-label="Delays and the straights turbo fires on"
        >
          <table className="data-table what-if-table" data-stale={stale || state.stale ? '' : undefined}>
            <thead>
              <tr>
                <th scope="col" className="is-number">
                  Delay s
                </th>
                <th scope="col">Fires on</th>
                <th scope="col" className="is-number">
                  Up to °
                </th>
                <th scope="col" className="is-number">
                  Lap s
                </th>
              </tr>
            </thead>
            <tbody>
              {rows.map((r) => (
                <tr key={r.delayS} data-delay={r.delayS}>
                  <td className="is-number">
                    {f(r.delayS, 2)}
                    {now !== null && Math.abs(r.delayS - now) < 1e-6 && <span className="small"> trial</span>}
                  </td>
                  <td>{r.fires.length ? r.fires.join(', ') : 'no straight'}</td>
                  <td className="is-number">{f(r.peakDeg, 1)}</td>
                  <td className="is-number">{f(r.lapS, 3)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </Ticket>
  )
}
