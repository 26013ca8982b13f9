'use client'
import { memo } from 'react'
import { dayOfRun } from '@/lib/season'
import { Button, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable, type ColumnHead } from '@/app/ui/ruled-table'
import { FoundText } from './found-text'
import { RunLink } from './run-link'
import { PAGE } from './season-address'
import type { ChangeQuestion, SeasonPartProps, SeasonRow } from './season-messages'
import { paceText, runResultText, runTimeText, seasonDay, secondsText, wholeText } from './season-text'

/** Drawn at once after another question: what a screen has room for. The rest comes in the moment after. */
const FIRST = 6

interface SeasonRunsProps extends SeasonPartProps {
  /** Meetings that are still loading: that nothing is found says little before them. */
  coming?: number
  /** All rows, or only those that are in sight first. */
  isWhole?: boolean
}

/** The runs themselves: as a table, or, where words were looked for, each with what was found in it. */
export const SeasonRunsPart = memo(function SeasonRunsPart({
  question,
  answer,
  set,
  coming = 0,
  isWhole = true,
}: SeasonRunsProps) {
  const { found, rows: all } = answer
  const rows = isWhole ? all : all.slice(0, FIRST)
  const { search } = answer.question
  const isSearch = search.trim() !== ''
  const [a, b] = question.pair
  const letterOf = ({ key }: SeasonRow): Letter => (key === a ? 'A' : key === b ? 'B' : null)
  return (
    <Ticket label="Runs">
      <TicketHead
        title={`${found} ${found === 1 ? 'run' : 'runs'}${coming > 0 ? ' so far' : ''}`}
        sub={isSearch ? 'The best match first' : 'The newest first'}
      />
      {found === 0 ? (
        <TicketBody>
          <p>
            {coming > 0
              ? `Nothing so far: ${coming === 1 ? '1 meeting is' : `${coming} meetings are`} still loading.`
              : 'No run has all of that. Take a word or a filter away, or look for one word at a time.'}
          </p>
        </TicketBody>
      ) : isSearch ? (
        <ul className="ruled">
          {rows.map((row) => (
            <HitLine key={row.key} row={row} search={search} letter={letterOf(row)} set={set} />
          ))}
        </ul>
      ) : (
        <RuledTable label="Runs of the season" className="season-table" head={HEAD}>
          {/* Of another filter hardly a row stays: taking all out at once costs less than one by one. */}
          <tbody key={JSON.stringify(answer.question.filter)}>
            {rows.map((row) => (
              <RunLine key={row.key} row={row} letter={letterOf(row)} set={set} />
            ))}
          </tbody>
        </RuledTable>
      )}
      {found > all.length && (
        <div className="ticket-body no-print">
          <Button onPress={() => set((now) => ({ ...now, most: now.most + 2 * PAGE }))}>
            {`Show more (${found - all.length} left)`}
          </Button>
        </div>
      )}
    </Ticket>
  )
})

/** Which of the two that are compared. */
type Letter = 'A' | 'B' | null

interface LineProps {
  row: SeasonRow
  letter: Letter
  set: ChangeQuestion
}

const HitLine = memo(function HitLine({ row, search, letter, set }: LineProps & { search: string }) {
  return (
    <li className="season-hit">
      <div className="min-w-0">
        <RunLink run={row}>
          {row.car}, {row.heat}
        </RunLink>
        <span className="small block">{[row.meetingName, seasonDay(dayOfRun(row))].join(', ')}</span>
        <ul className="season-texts">
          {row.texts.map((text) => (
            <li key={text}>
              <FoundText text={text} search={search} />
            </li>
          ))}
        </ul>
      </div>
      <span className="num">{runResultText(row)}</span>
      <CompareButton row={row} letter={letter} set={set} />
    </li>
  )
})

/** On a phone the first three are in sight: which run, whose, and what came of it. */
const HEAD: readonly ColumnHead[] = [
  'Run',
  'Car',
  { figures: 'Result' },
  { figures: 'Pace' },
  { figures: 'Best, s' },
  { figures: 'Mean, s' },
  { figures: 'Put back' },
  { figures: 'Can' },
  'Track',
  'Pack, tires',
  { acts: 'Compare' },
]

const RunLine = memo(function RunLine({ row, letter, set }: LineProps) {
  return (
    <tr>
      <th scope="row">
        <RunLink run={row}>{row.heat}</RunLink>
        <span className="small block">
          {row.meetingName}, {runTimeText(row)}
        </span>
      </th>
      <td>
        {row.car}
        <span className="small block">{row.driver}</span>
      </td>
      <td className="is-number">
        {runResultText(row)}
        {row.place !== null && <span className="small block">place {row.place}</span>}
      </td>
      <td className="is-number">{paceText(row.pacePercent)}</td>
      <td className="is-number">{secondsText(row.bestS)}</td>
      <td className="is-number">{secondsText(row.meanS)}</td>
      <td className="is-number">{wholeText(row.chargeBackMah, 'mAh')}</td>
      <td className="is-number">{wholeText(row.canC, '°C')}</td>
      <td>{row.track || '–'}</td>
      <td>{[row.pack, row.tires].filter(Boolean).join(', ') || '–'}</td>
      <td className="no-print">
        <CompareButton row={row} letter={letter} set={set} />
      </td>
    </tr>
  )
})

/** The first press chooses A, the second B; one more lets go of it. */
function CompareButton({ row, letter, set }: LineProps) {
  const choose = () =>
    set((now) => {
      const [a, b] = now.pair
      if (row.key === a) return { ...now, pair: [b, null] }
      if (row.key === b) return { ...now, pair: [a, null] }
      return { ...now, pair: a === null ? [row.key, null] : [a, row.key] }
    })
  return (
    <Button
      aria-pressed={letter !== null}
      aria-label={`Compare ${row.car}, ${row.heat}, ${row.meetingName}`}
      onPress={choose}
    >
      {letter ?? 'Compare'}
    </Button>
  )
}
