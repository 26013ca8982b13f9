'use client'
import { SEASON_SIDES } from '@/lib/season'
import { Button, ChoiceField, HelpNote, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { PaceSpark } from './pace-spark'
import { withFilter } from './season-address'
import type { SeasonGroupRow, SeasonPartProps, SeasonQuestion } from './season-messages'
import { paceText, secondsText, SIDE_WORDS, wholeText } from './season-text'

/** The plots' scale reaches at least so far, so that a season without differences does not look like one with them. % */
const LEAST_SCALE = 2

/** The runs that were asked for, put together by what they have in common. */
export function SeasonGroupsPart({ question, answer, set }: SeasonPartProps) {
  const { side } = answer.question
  const most = answer.groups.reduce(
    (m, g) => g.percents.reduce((n, p) => Math.max(n, Math.abs(p)), m),
    LEAST_SCALE,
  )
  return (
    <Ticket label="Grouped">
      <TicketHead title={`By ${SIDE_WORDS[side].toLowerCase()}`} />
      <TicketBody>
        <div className="no-print">
          <ChoiceField
            label="Group by"
            options={SEASON_SIDES.map((s) => ({ id: s, label: SIDE_WORDS[s] }))}
            value={question.side}
            onChange={(id) => set({ ...question, side: SEASON_SIDES.find((s) => s === id) ?? 'car' })}
          />
        </div>
        <div className="justify-self-start">
          <HelpNote about="How lap times are compared">
            Pace is a run’s mean lap beside the median of all your runs on the same track, for cars with the
            same wheels driven: +1% is one percent slower. Each dot is a run, in the order driven; above the
            line is slower. Best and mean lap stand only where all runs of a line are on one track. Put back
            and can are medians.
          </HelpNote>
        </div>
      </TicketBody>
      <RuledTable
        label="Runs grouped"
        className="season-table"
        head={[
          SIDE_WORDS[side],
          { figures: 'Runs' },
          { figures: 'Pace' },
          'Over time',
          { figures: 'Best, s' },
          { figures: 'Mean, s' },
          { figures: 'Put back' },
          { figures: 'Can' },
        ]}
      >
        <tbody>
          {answer.groups.map((g) => (
            <GroupLine key={g.id ?? ''} group={g} most={most} question={question} set={set} />
          ))}
        </tbody>
      </RuledTable>
    </Ticket>
  )
}

function GroupLine({
  group: g,
  most,
  question,
  set,
}: {
  group: SeasonGroupRow
  most: number
  question: SeasonQuestion
  set: (next: SeasonQuestion) => void
}) {
  const { id } = g
  return (
    <tr>
      <th scope="row">
        {id === null || question.filter[question.side] === id ? (
          g.label
        ) : (
          <Button look="quiet" onPress={() => set(withFilter(question, question.side, id))}>
            {g.label}
          </Button>
        )}
      </th>
      <td className="is-number">
        {g.runs}
        <span className="small block">
          {g.meetings} {g.meetings === 1 ? 'meeting' : 'meetings'}
        </span>
      </td>
      <td className="is-number">{paceText(g.pacePercent)}</td>
      <td>
        <PaceSpark percents={g.percents} most={most} />
      </td>
      <td className="is-number">{secondsText(g.bestS)}</td>
      <td className="is-number">{secondsText(g.medianS)}</td>
      <td className="is-number">{wholeText(g.putBackMah, 'mAh')}</td>
      <td className="is-number">{wholeText(g.canC, '°C')}</td>
    </tr>
  )
}
