'use client'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { dayOfRun, type ComparedFigure } from '@/lib/season'
import { choiceWord } from '@/app/words/choice-words'
import { Button, Ticket, TicketBody, TicketHead, TicketSection } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { RunLink } from './run-link'
import type { SeasonPair, SeasonPartProps, SeasonRow } from './season-messages'
import { seasonDay } from './season-text'

const FIGURES: Readonly<Record<ComparedFigure['id'], { label: string; unit: string; digits: number }>> = {
  laps: { label: 'Laps', unit: '', digits: 0 },
  timeS: { label: 'Time', unit: 's', digits: 2 },
  bestS: { label: 'Best lap', unit: 's', digits: 2 },
  meanS: { label: 'Mean lap', unit: 's', digits: 2 },
  canC: { label: 'Motor can', unit: '°C', digits: 0 },
  chargeBackMah: { label: 'Put back', unit: 'mAh', digits: 0 },
  restVoltageV: { label: 'Resting voltage after', unit: 'V', digits: 2 },
  airC: { label: 'Air', unit: '°C', digits: 0 },
  trackC: { label: 'Track', unit: '°C', digits: 0 },
}

/** Any two runs of any cars: what was in them, and what came of it. Nothing until one is chosen. */
export function SeasonPairPart({ answer, set }: Omit<SeasonPartProps, 'question'>) {
  const { first, pair } = answer
  if (!first) return null
  const clear = () => set((now) => ({ ...now, pair: [null, null] }))
  if (!pair)
    return (
      <Ticket label="Two runs side by side" tone="calm">
        <TicketBody>
          <p>A is {nameOf(first)}. Choose “Compare” on another run, of any car and meeting.</p>
          <div className="btn-row no-print">
            <Button onPress={clear}>Don’t compare</Button>
          </div>
        </TicketBody>
      </Ticket>
    )
  return (
    <Ticket label="Two runs side by side">
      <TicketHead title="Two runs side by side" />
      <div className="table-scroll" tabIndex={0} role="region" aria-label="What came of the two runs">
        <table className="data-table season-table">
          <thead>
            <tr>
              <th scope="col">What came of it</th>
              <Side letter="A" row={pair.a} />
              <Side letter="B" row={pair.b} />
              <th scope="col" className="is-number">
                B − A
              </th>
            </tr>
          </thead>
          <tbody>
            {pair.figures.map((f) => (
              <FigureLine key={f.id} figure={f} isOneTrack={pair.isOneTrack} />
            ))}
          </tbody>
        </table>
      </div>
      <Differences pair={pair} />
      <div className="ticket-body no-print">
        <div className="btn-row">
          <Button onPress={() => set((now) => ({ ...now, pair: [now.pair[1], now.pair[0]] }))}>
            Swap A and B
          </Button>
          <Button onPress={clear}>Don’t compare</Button>
        </div>
      </div>
    </Ticket>
  )
}

const nameOf = (row: SeasonRow): string =>
  `${row.car}, ${row.heat}, ${row.meetingName}, ${seasonDay(dayOfRun(row))}`

const Side = ({ letter, row }: { letter: string; row: SeasonRow }) => (
  <th scope="col" className="is-number season-side">
    {letter}: <RunLink run={row}>{row.car}</RunLink>
    <span className="small block">
      {row.heat}, {row.meetingName}
    </span>
  </th>
)

/** Lap times of two tracks say nothing about each other. */
const OF_A_TRACK: readonly ComparedFigure['id'][] = ['laps', 'timeS', 'bestS', 'meanS']

function FigureLine({ figure: { id, a, b }, isOneTrack }: { figure: ComparedFigure; isOneTrack: boolean }) {
  const { label, unit, digits } = FIGURES[id]
  const text = (value: number | null) => (value === null ? '–' : figureText(value, { digits, unit }))
  const difference = a === null || b === null || (!isOneTrack && OF_A_TRACK.includes(id)) ? null : b - a
  return (
    <tr>
      <th scope="row">{label}</th>
      <td className="is-number">{text(a)}</td>
      <td className="is-number">{text(b)}</td>
      <td className="is-number">
        {difference === null ? '–' : `${difference > 0 ? '+' : ''}${text(difference)}`}
      </td>
    </tr>
  )
}

function Differences({ pair: { differences, isOneTrack } }: { pair: SeasonPair }) {
  return (
    <>
      {!isOneTrack && (
        <p className="ticket-body small">
          They ran on different tracks: lap times say nothing about each other.
        </p>
      )}
      <TicketSection
        title="What differed in the car"
        aside={<span className="num">{differences?.length ?? '–'}</span>}
      />
      {differences === null || differences.length === 0 ? (
        <p className="ticket-body small">
          {differences ? 'Nothing.' : 'One of them has no record of what it ran with.'}
        </p>
      ) : (
        <RuledTable
          label="What differed in the car"
          className="season-table"
          head={['Value', { figures: 'A' }, { figures: 'B' }]}
        >
          <tbody>
            {differences.map((d) => (
              <tr key={d.parameterId}>
                <th scope="row">{labelOf(d.parameterId, d.label)}</th>
                <td className="is-number">{settingText(d.was, d.unit)}</td>
                <td className="is-number">{settingText(d.now, d.unit)}</td>
              </tr>
            ))}
          </tbody>
        </RuledTable>
      )}
    </>
  )
}

/** Springs are on both axles. */
const labelOf = (id: string, label: string): string => {
  const word = choiceWord(id)
  return word === id ? label : word
}
