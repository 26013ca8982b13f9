'use client'
import { AbTestTicket } from './ab-test-ticket'
import { CalculatorTicket } from './calculator-ticket'
import { CALCULATORS } from './calculators'
import { GearPairsTicket } from './gear-pairs-ticket'
import { KeptLine } from './kept-line'
import { LapListTicket } from './lap-list-ticket'
import { TOOL_GROUPS } from './tool-groups'
import { UnitsTicket } from './units-ticket'
import './tools.css'

/** Tools with a face of their own; all others are told by `CALCULATORS`. */
const OWN = [
  { id: 'gear-pairs', title: 'Gear pairs', Ticket: GearPairsTicket },
  { id: 'lap-list', title: 'Lap list', Ticket: LapListTicket },
  { id: 'ab-test', title: 'A or B', Ticket: AbTestTicket },
  { id: 'units', title: 'Units', Ticket: UnitsTicket },
] as const

const titleOf = (id: string) => [...CALCULATORS, ...OWN].find((t) => t.id === id)?.title ?? id

function Tool({ id }: { id: string }) {
  const calculator = CALCULATORS.find((c) => c.id === id)
  if (calculator) return <CalculatorTicket calculator={calculator} />
  const own = OWN.find((t) => t.id === id)
  return own ? <own.Ticket /> : null
}

/** Questions that come without a car. Nothing is read from the board and nothing is written: it works for everybody, without network too. */
export function ToolsScreen() {
  return (
    <div className="page">
      <h1>Tools</h1>
      <p>
        For questions without a car. The tools use the same model as the cards. Each shows a worked example
        and its source.
      </p>
      <KeptLine />
      <nav aria-label="Tools" className="tools-index">
        {TOOL_GROUPS.map((g) => (
          <div key={g.title}>
            <b>{g.title}</b>
            {g.ids.map((id) => (
              <a key={id} href={`#${id}`}>
                {titleOf(id)}
              </a>
            ))}
          </div>
        ))}
      </nav>
      {TOOL_GROUPS.map((g) => (
        <section key={g.title} aria-label={g.title} className="tools-group">
          <h2>{g.title}</h2>
          <div className="tools">
            {g.ids.map((id) => (
              <Tool key={id} id={id} />
            ))}
          </div>
        </section>
      ))}
    </div>
  )
}
