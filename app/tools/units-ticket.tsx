'use client'
import { useState } from 'react'
import { units, unitsLike, type UnitName } from '@/lib/setup-math'
import { Button, Figure, Figures, NumberEntry, RefusalText, SelectField } from '@/app/ui'
import { converted, UNIT_EXAMPLES, type Conversion } from './converted'
import { ToolFrame } from './tool-frame'
import { useUnfit } from './use-unfit'

const NAMES = Object.keys(units) as UnitName[]
const isUnit = (x: string | null): x is UnitName => NAMES.includes(x as UnitName)
const shown = (u: UnitName) => ({ C: '°C', F: '°F' })[u as string] ?? u
const options = (list: readonly UnitName[]) =>
  list.map((u) => ({ id: u, label: shown(u), detail: units[u].quantity }))

const START: Conversion = { value: 165, from: 'oz-in', to: 'Nm' }
const digitsOf = (x: number) => Number(x.toPrecision(7))

/** A value in another unit of the same quantity. */
export function UnitsTicket() {
  const [asked, setAsked] = useState<Conversion>(START)
  const [good, setGood] = useState<Conversion>(START)
  const unfit = useUnfit()
  const now = converted(asked)
  const last = converted(good)
  const change = (next: Conversion) => {
    setAsked(next)
    if (converted(next).ok) setGood(next)
  }
  const takeFrom = (from: UnitName) => {
    const like = unitsLike(from)
    change({
      ...asked,
      from,
      to: like.includes(asked.to) ? asked.to : (like.find((u) => u !== from) ?? from),
    })
  }
  return (
    <ToolFrame
      id="units"
      title="Units"
      about="Torque, temperature, length, spring rate and more."
      isStale={unfit.any || !now.ok}
      problem={
        now.ok ? undefined : typeof now.error === 'string' ? now.error : <RefusalText refusal={now.error} />
      }
      fields={
        <>
          <NumberEntry
            label="Value"
            value={asked.value}
            onChange={(value) => change({ ...asked, value })}
            onFits={(fits) => unfit.tell('value', fits)}
          />
          <SelectField
            label="From"
            options={options(NAMES)}
            value={asked.from}
            onChange={(u) => isUnit(u) && takeFrom(u)}
          />
          <SelectField
            label="To"
            options={options(unitsLike(asked.from))}
            value={asked.to}
            onChange={(u) => isUnit(u) && change({ ...asked, to: u })}
          />
        </>
      }
      example={
        <>
          <ul>
            {UNIT_EXAMPLES.map((q) => (
              <li key={q.from}>
                {q.value} {shown(q.from)} = {q.is} {shown(q.to)}
              </li>
            ))}
          </ul>
          <p className="small">
            Inch, pound and standard gravity are exact by definition: NIST SP 811 (2008), appendix B.8. The
            others follow.
          </p>
        </>
      }
      after={
        <div className="btn-row">
          <Button
            isDisabled={unfit.any || !now.ok}
            onPress={() => now.ok && change({ value: digitsOf(now.value), from: asked.to, to: asked.from })}
          >
            The other way
          </Button>
        </div>
      }
    >
      <Figures label="Converted">
        <Figure
          label={`${good.value} ${shown(good.from)} are`}
          value={last.ok ? String(digitsOf(last.value)) : null}
          unit={shown(good.to)}
        />
      </Figures>
    </ToolFrame>
  )
}
