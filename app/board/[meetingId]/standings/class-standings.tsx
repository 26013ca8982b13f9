'use client'
import { useMemo } from 'react'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived } from '@/app/sync'
import { Button, Empty, HelpNote, LinkButton, Note, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { standingsNow, type ClassStandings as Standings } from '@/lib/card'
import { finalBorders } from './final-borders'
import { NeededPart } from './needed-part'
import { RulesSheet } from './rules-sheet'
import { rulesWords } from './rules-words'
import { SeriesTable } from './series-table'

/** One class: its orders as they stand, and what our drivers need. */
export function ClassStandings({ classId, className }: { classId: string; className: string }) {
  const standings = useDerived(standingsNow, classId)
  const meetingId = useMeetingId()
  const drivers = useMemo(() => new Map(standings.drivers.map((d) => [d.id, d])), [standings.drivers])
  const { qualifying, finals, rules } = standings
  const rounds = qualifying.series.rounds
  const hasResults = [qualifying, ...finals].some((s) => s.series.rounds.some((r) => r.results.size > 0))
  const ours = standings.drivers.filter((d) => d.carId)
  const acts = (
    <div className="btn-row no-print">
      <RulesSheet classId={classId} className={className} />
      {ours.length > 0 && (
        <span className="standings-jump">
          <LinkButton href="#needed">What is needed</LinkButton>
        </span>
      )}
      {hasResults && (
        <Button look="do" onPress={() => print()}>
          Print
        </Button>
      )}
      <HelpNote about="What counts">
        Struck results are dropped. As many rounds count as everybody has run. Places of a round under way
        count once everybody has run it (in the first round the places so far are shown); by laps and time a
        better result counts at once. A heat has run when its result list is in, or everybody in it has a
        result; whoever is not on the list did not start.
      </HelpNote>
    </div>
  )
  if (!hasResults)
    return (
      <Empty
        title={`No results of ${className} yet`}
        acts={
          <>
            <LinkButton href={`/board/${meetingId}/debrief/import`}>Import a list of results</LinkButton>
            <RulesSheet classId={classId} className={className} />
          </>
        }
      >
        <p>
          {rounds.length === 0 && finals.length === 0
            ? 'The running order has no qualifying heat or final of this class.'
            : 'Standings are made from the results of everybody in the class: import the list of each heat or round.'}
        </p>
      </Empty>
    )
  return (
    <div className="standings" data-columns={rounds.length > 4 ? 'many' : undefined}>
      {acts}
      {standings.problems.length > 0 && (
        <Note>
          {standings.problems.map((p) => (
            <p key={p}>{p}</p>
          ))}
        </Note>
      )}
      <div className="split">
        <div className="grid gap-4 min-w-0">
          {standings.overall.length > 0 && <Overall standings={standings} drivers={drivers} />}
          {finals
            .filter((f) => f.series.drivers.length > 0)
            .map((f) => (
              <Ticket key={f.letter}>
                <TicketHead
                  title={`${f.letter} final`}
                  sub={rulesWords(rules.legs, f.series.rounds.length, 'leg')}
                />
                <SeriesTable
                  label={`${f.letter} final`}
                  standings={f}
                  drivers={drivers}
                  movesUp={f.movesUp}
                />
              </Ticket>
            ))}
          <Ticket>
            <TicketHead title="Qualifying" sub={rulesWords(rules.rounds, rounds.length, 'round')} />
            <SeriesTable
              label="Qualifying"
              standings={qualifying}
              drivers={drivers}
              borders={finalBorders(standings)}
            />
          </Ticket>
        </div>
        <div id="needed" className="grid gap-4 min-w-0 content-start">
          <NeededPart classId={classId} ours={ours} />
        </div>
      </div>
    </div>
  )
}

function Overall({
  standings,
  drivers,
}: {
  standings: Standings
  drivers: ReadonlyMap<string, Standings['drivers'][number]>
}) {
  return (
    <Ticket label="Overall">
      <TicketHead title="Overall" sub="After the finals so far; behind them, who is in none, as qualified" />
      <TicketBody>
        <ol className="standings-overall">
          {standings.overall.map((r) => (
            <li key={r.driver} data-ours={Boolean(drivers.get(r.driver)?.carId) || undefined}>
              <span className="num">{r.place}</span> {drivers.get(r.driver)?.name ?? 'Somebody'}
              {r.final && <small> {r.final}</small>}
            </li>
          ))}
        </ol>
      </TicketBody>
    </Ticket>
  )
}
