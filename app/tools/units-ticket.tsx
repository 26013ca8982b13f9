'use client'
import { useState } from 'react'
import { convert, RangeProblem, units, unitsLike, type UnitName } from '@/lib/setup-math'
import { Button, Figure, Figures, NumberEntry, SelectField, Ticket, TicketBody, TicketHead } from '../ui'

const NAMES = Object.keys(units) as UnitName[]
const isUnit = (x: string | null): x is UnitName => NAMES.includes(x as UnitName)
const shown = (u: UnitName) => ({ C: '°C', F: '°F' })[u as string] ?? u
const options = (list: readonly UnitName[]) =>
  list.map((u) => ({ id: u, label: shown(u), detail: units[u].quantity }))

/** Conversions that the trade asks for: what they come to, checked by the tests of setup-math. */
const QUICK: readonly { value: number; from: UnitName; to: UnitName }[] = [
  { value: 165, from: 'oz-in', to: 'Nm' },
  { value: 180, from: 'F', to: 'C' },
  { value: 3.25, from: 'in', to: 'mm' },
  { value: 4.5, from: 'lb/in', to: 'N/mm' },
]
const digitsOf = (x: number) => Number(x.toPrecision(7))

/** A value in another unit of the same quantity. */
export function UnitsTicket() {
  const [value, setValue] = useState<number | null>(165)
  const [from, setFrom] = useState<UnitName>('oz-in')
  const [to, setTo] = useState<UnitName>('Nm')
  const like = unitsLike(from)
  let answer: number | string | null = null
  try {
    answer = value === null ? null : convert(value, from, like.includes(to) ? to : (like[0] ?? from))
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    answer = `${error.field} must be ${error.range}`
  }
  const take = (unit: UnitName) => {
    setFrom(unit)
    const others = unitsLike(unit)
    if (!others.includes(to)) setTo(others.find((u) => u !== unit) ?? unit)
  }
  return (
    <Ticket as="article" id="units" label="Units">
      <TicketHead
        title="Units"
        sub="Torque, temperature, length, spring rate and whatever else a sheet is in."
      />
      <div className="tool-fields">
        <NumberEntry label="Value" value={value} onChange={setValue} />
        <SelectField
          label="From"
          options={options(NAMES)}
          value={from}
          onChange={(u) => isUnit(u) && take(u)}
        />
        <SelectField label="To" options={options(like)} value={to} onChange={(u) => isUnit(u) && setTo(u)} />
      </div>
      <div aria-live="polite">
        <Figures label="Converted">
          <Figure
            label={`${value ?? '–'} ${shown(from)} are`}
            value={typeof answer === 'number' ? String(digitsOf(answer)) : null}
            unit={shown(to)}
            missing={typeof answer === 'string' ? answer : 'needs a value'}
          />
        </Figures>
      </div>
      <TicketBody>
        <div className="btn-row">
          <Button
            onPress={() => {
              if (typeof answer === 'number') setValue(digitsOf(answer))
              setFrom(to)
              setTo(from)
            }}
          >
            The other way
          </Button>
        </div>
        <details className="tool-example" open>
          <summary>Worked examples</summary>
          <ul>
            {QUICK.map((q) => (
              <li key={q.from}>
                {q.value} {shown(q.from)} = {digitsOf(convert(q.value, q.from, q.to))} {shown(q.to)}
              </li>
            ))}
          </ul>
          <p className="small">
            Inch, pound and standard gravity are exact by definition: NIST SP 811 (2008), appendix B.8. The
            others follow.
          </p>
        </details>
      </TicketBody>
    </Ticket>
  )
}
