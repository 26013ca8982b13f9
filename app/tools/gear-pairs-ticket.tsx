'use client'
import { useState } from 'react'
import { figureText } from '@/lib/core/figure-text'
import { NumberEntry, RefusalText, Tick } from '@/app/ui'
import { GEAR_PAIR_FIELDS, nearestPairs, type GearPairValues, type NearPair } from './gear-pairs'
import { ToolFrame } from './tool-frame'
import { useUnfit } from './use-unfit'

const SHOWN = 12
const START = Object.fromEntries(GEAR_PAIR_FIELDS.map((f) => [f.id, f.start])) as unknown as GearPairValues

/** Which pairs of the gears at hand come nearest to a rollout, and whether the mount takes them. */
export function GearPairsTicket() {
  const [values, setValues] = useState(START)
  const [good, setGood] = useState(START)
  const [onlyFitting, setOnlyFitting] = useState(true)
  const unfit = useUnfit()
  const asked = nearestPairs(values)
  const shown = nearestPairs(good)
  const change = (by: Partial<GearPairValues>) => {
    const next = { ...values, ...by }
    setValues(next)
    if (nearestPairs(next).ok) setGood(next)
  }
  return (
    <ToolFrame
      id="gear-pairs"
      title="Gear pairs"
      about="Your gears, closest to a rollout first. Leave both ends of the slot empty if the mount does not matter."
      isStale={unfit.any || !asked.ok}
      problem={
        asked.ok ? undefined : typeof asked.refusal === 'string' ? (
          asked.refusal
        ) : (
          <RefusalText refusal={asked.refusal} />
        )
      }
      fields={GEAR_PAIR_FIELDS.map((f) => (
        <NumberEntry
          key={f.id}
          label={f.label}
          value={values[f.id]}
          onChange={(v) => change({ [f.id]: v })}
          onFits={(fits) => unfit.tell(f.id, fits)}
          min={f.min}
          max={f.max}
          step={'step' in f ? f.step : undefined}
          unit={f.unit || undefined}
          hint={`${f.min} to ${f.max}`}
        />
      ))}
      example={
        <>
          <p>
            31 on 72 with 2.6 on 83 mm rolls 43.18 mm per motor turn: it comes first for that rollout. At
            module 0.5 its shafts are 25.75 mm apart, which fits a slot from 25 to 26.5 mm.
          </p>
          <p className="small">
            Rollout = π × tire diameter / final drive ratio; center distance = module × (pinion + spur) / 2;
            arithmetic. Backlash is set by hand and not counted.
          </p>
        </>
      }
    >
      {shown.ok && (
        <>
          {shown.hasSlot && (
            <Tick isSelected={onlyFitting} onChange={setOnlyFitting}>
              Only pairs that fit the slot
            </Tick>
          )}
          <Pairs
            pairs={shown.pairs.filter((p) => !shown.hasSlot || !onlyFitting || p.fits)}
            hasSlot={shown.hasSlot}
          />
        </>
      )}
    </ToolFrame>
  )
}

function Pairs({ pairs, hasSlot }: { pairs: readonly NearPair[]; hasSlot: boolean }) {
  if (pairs.length === 0)
    return (
      <p className="ticket-body">
        No pair of these gears fits the slot. Its ends are too close together or off.
      </p>
    )
  return (
    <div className="table-scroll" tabIndex={0} role="region" aria-label="Closest gear pairs">
      <table className="data-table">
        <thead>
          <tr>
            {['Pair', 'Ratio', 'Rollout, mm', 'Off, %', ...(hasSlot ? ['Apart, mm', 'Slot'] : [])].map(
              (label) => (
                <th key={label} scope="col" className={/^(Pair|Slot)$/.test(label) ? '' : 'is-number'}>
                  {label}
                </th>
              ),
            )}
          </tr>
        </thead>
        <tbody>
          {pairs.slice(0, SHOWN).map((p) => (
            <tr key={`${p.pinion}/${p.spur}`}>
              <th scope="row" className="num">
                {p.pinion}/{p.spur}
              </th>
              <td className="is-number">{p.finalDrive.toFixed(3)}</td>
              <td className="is-number">{p.rolloutMm.toFixed(2)}</td>
              <td className="is-number">{figureText(100 * (1 / (1 + p.offTarget) - 1), { digits: 2 })}</td>
              {hasSlot && (
                <>
                  <td className="is-number">{p.centreMm?.toFixed(2)}</td>
                  <td>{p.fits ? 'fits' : 'does not reach'}</td>
                </>
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
