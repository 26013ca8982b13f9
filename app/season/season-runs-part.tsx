'use client'
import { dayOfRun } from '@/lib/season'
import { Button, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { FoundText } from './found-text'
import { RunLink } from './run-link'
import { PAGE } from './season-address'
import type { SeasonPartProps, SeasonQuestion, SeasonRow } from './season-messages'
import { paceText, runResultText, runTimeText, seasonDay, secondsText, wholeText } from './season-text'

/**
 * The runs themselves: as a table, or, where words were looked for, each with what was found in it.
 *
 * @param coming meetings that are still loading: that nothing is found says little before them
 */
export function SeasonRunsPart({ question, answer, set, coming = 0 }: SeasonPartProps & { coming?: number }) {
  const { found, rows } = answer
  const isSearch = answer.question.search.trim() !== ''
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
            <HitLine key={row.key} row={row} search={answer.question.search} question={question} set={set} />
          ))}
        </ul>
      ) : (
        <RunsTable {...{ question, answer, set }} />
      )}
      {found > rows.length && (
        <div className="ticket-body no-print">
          <Button onPress={() => set({ ...question, most: question.most + 2 * PAGE })}>
            {`Show more (${found - rows.length} left)`}
          </Button>
        </div>
      )}
    </Ticket>
  )
}

function HitLine({
  row,
  search,
  question,
  set,
}: {
  row: SeasonRow
  search: string
  question: SeasonQuestion
  set: (next: SeasonQuestion) => void
}) {
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
      <CompareButton row={row} question={question} set={set} />
    </li>
  )
}

function RunsTable({ question, answer, set }: SeasonPartProps) {
  return (
    <RuledTable
      label="Runs of the season"
      className="season-table"
      head={[
        'Run',
        'Car',
        'Track',
        'Pack, tires',
        { figures: 'Result' },
        { figures: 'Best, s' },
        { figures: 'Mean, s' },
        { figures: 'Pace' },
        { figures: 'Put back' },
        { figures: 'Can' },
        { acts: 'Compare' },
      ]}
    >
      <tbody>
        {answer.rows.map((row) => (
          <tr key={row.key}>
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
            <td>{row.track || '–'}</td>
            <td>{[row.pack, row.tires].filter(Boolean).join(', ') || '–'}</td>
            <td className="is-number">
              {runResultText(row)}
              {row.place !== null && <span className="small block">place {row.place}</span>}
            </td>
            <td className="is-number">{secondsText(row.bestS)}</td>
            <td className="is-number">{secondsText(row.meanS)}</td>
            <td className="is-number">{paceText(row.pacePercent)}</td>
            <td className="is-number">{wholeText(row.chargeBackMah, 'mAh')}</td>
            <td className="is-number">{wholeText(row.canC, '°C')}</td>
            <td className="no-print">
              <CompareButton row={row} question={question} set={set} />
            </td>
          </tr>
        ))}
      </tbody>
    </RuledTable>
  )
}

/** The first press chooses A, the second B; one more lets go of it. */
function CompareButton({
  row,
  question,
  set,
}: {
  row: SeasonRow
  question: SeasonQuestion
  set: (next: SeasonQuestion) => void
}) {
  const [a, b] = question.pair
  const side = row.key === a ? 'A' : row.key === b ? 'B' : null
  const choose = () => {
    if (side === 'A') set({ ...question, pair: [b, null] })
    else if (side === 'B') set({ ...question, pair: [a, null] })
    else set({ ...question, pair: a === null ? [row.key, null] : [a, row.key] })
  }
  return (
    <Button
      aria-pressed={side !== null}
      aria-label={`Compare ${row.car}, ${row.heat}, ${row.meetingName}`}
      onPress={choose}
    >
      {side ?? 'Compare'}
    </Button>
  )
}
