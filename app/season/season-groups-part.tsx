'use client'
import { memo } from 'react'
import { SEASON_SIDES, type SeasonSide } from '@/lib/season'
import { Button, ChoiceField, HelpNote, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable, type ColumnHead } from '@/app/ui/ruled-table'
import { PaceSpark } from './pace-spark'
import { withFilter } from './season-address'
import type { ChangeQuestion, SeasonGroupRow, SeasonPartProps } from './season-messages'
import { paceText, secondsText, SIDE_WORDS, wholeText } from './season-text'

/** The plots' scale reaches at least so far, so that a season without differences does not look like one with them. % */
const LEAST_SCALE = 2

/** The runs that were asked for, put together by what they have in common. `isWhole`: with the plots, which come in the moment after the figures. */
export const SeasonGroupsPart = memo(function SeasonGroupsPart({
  question,
  answer,
  set,
  isWhole = true,
}: SeasonPartProps & { isWhole?: boolean }) {
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
            onChange={(id) => set((now) => ({ ...now, side: SEASON_SIDES.find((s) => s === id) ?? 'car' }))}
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
      <RuledTable label="Runs grouped" className="season-table" head={[SIDE_WORDS[side], ...HEAD]}>
        <tbody key={JSON.stringify(answer.question.filter)}>
          {answer.groups.map((g) => (
            <GroupLine
              key={g.id ?? ''}
              group={g}
              most={isWhole ? most : null}
              side={side}
              isChosen={question.filter[side] === g.id}
              set={set}
            />
          ))}
        </tbody>
      </RuledTable>
    </Ticket>
  )
})

const HEAD: readonly ColumnHead[] = [
  { figures: 'Runs' },
  { figures: 'Pace' },
  'Over time',
  { figures: 'Best, s' },
  { figures: 'Mean, s' },
  { figures: 'Put back' },
  { figures: 'Can' },
]

interface GroupLineProps {
  group: SeasonGroupRow
  /** The plots' scale, percent; null: no plot for now. */
  most: number | null
  side: SeasonSide
  isChosen: boolean
  set: ChangeQuestion
}

const GroupLine = memo(function GroupLine({ group: g, most, side, isChosen, set }: GroupLineProps) {
  const { id } = g
  return (
    <tr>
      <th scope="row">
        {id === null || isChosen ? (
          g.label
        ) : (
          <Button look="quiet" onPress={() => set((now) => withFilter(now, side, id))}>
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
        {most === null ? <div className="pace-spark" /> : <PaceSpark percents={g.percents} most={most} />}
      </td>
      <td className="is-number">{secondsText(g.bestS)}</td>
      <td className="is-number">{secondsText(g.medianS)}</td>
      <td className="is-number">{wholeText(g.putBackMah, 'mAh')}</td>
      <td className="is-number">{wholeText(g.canC, '°C')}</td>
    </tr>
  )
})
