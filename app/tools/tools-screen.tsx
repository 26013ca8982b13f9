'use client'
import { CalculatorTicket } from './calculator-ticket'
import { CALCULATORS } from './calculators'
import { GearPairsTicket } from './gear-pairs-ticket'
import { LapListTicket } from './lap-list-ticket'
import { UnitsTicket } from './units-ticket'
import './tools.css'

/** Questions that come without a car. Nothing is read from the board and nothing is written: it works for everybody, without network too. */
export function ToolsScreen() {
  return (
    <div className="page">
      <h1>Tools</h1>
      <p>
        For the questions that come without a car. The figures are those of the cards’ own model; each tool
        shows a worked example and where it comes from.
      </p>
      <nav aria-label="Tools" className="tools-index">
        {CALCULATORS.map((c) => (
          <a key={c.id} href={`#${c.id}`}>
            {c.title}
          </a>
        ))}
        <a href="#gear-pairs">Gear pairs</a>
        <a href="#lap-list">Lap list</a>
        <a href="#units">Units</a>
      </nav>
      <div className="tools">
        {CALCULATORS.map((c) => (
          <CalculatorTicket key={c.id} calculator={c} />
        ))}
        <GearPairsTicket />
        <LapListTicket />
        <UnitsTicket />
      </div>
    </div>
  )
}
