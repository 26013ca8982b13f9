'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useNow, useDerived } from '@/app/sync'
import { dutiesNow, runsNow } from '@/lib/card'
import { Button, Empty, LinkButton, plusMinusText, shortDayText, timeText } from '@/app/ui'
import { sheetRows } from './sheet-rows'
import './day-sheet.css'

/** The team's day on one A4 page: calls, cars, packs, tires, people, marshal duty; with room to write. */
export function DaySheet() {
  const view = useBoard()
  const now = useNow(60_000)
  const meetingId = useMeetingId()
  const runs = useDerived(runsNow)
  const rows = sheetRows(view, runs, useDerived(dutiesNow), now)
  const meeting = view.meeting.get('meeting')
  const first = rows[0]
  if (!first)
    return (
      <div className="page page-narrow">
        <Empty
          title="No runs to put on a day sheet"
          level={1}
          acts={<LinkButton href={`/board/${meetingId}/setup`}>Set up the meeting</LinkButton>}
        >
          <p>It lists the team’s runs and marshal duties on one printed A4 page.</p>
        </Empty>
      </div>
    )
  const lead = (meeting?.stagingLeadSeconds ?? 300) / 60
  return (
    <div className="page">
      <div className="page-head no-print">
        <h1>Day sheet</h1>
        <div className="btn-row">
          <Button look="do" onPress={() => print()}>
            Print
          </Button>
        </div>
      </div>
      <article className="day-sheet" aria-label="Day sheet">
        <header>
          <b>{meeting?.name ?? 'Meeting'}</b>
          <span>{shortDayText(first.at)}</span>
          <span className="small">
            as forecast at {timeText(now)}; calls {lead} min before the start; later, trust the board and race
            control
          </span>
        </header>
        <div className="day-sheet-scroll" role="region" aria-label="Runs and duties" tabIndex={0}>
          <table>
            <thead>
              <tr>
                <th scope="col">Call</th>
                <th scope="col">Start</th>
                <th scope="col">Heat</th>
                <th scope="col">Car</th>
                <th scope="col">Who</th>
                <th scope="col">Pack</th>
                <th scope="col">Tires</th>
                <th scope="col">Hands</th>
                <th scope="col">Laps / time</th>
              </tr>
            </thead>
            <tbody>
              {rows.map((r) => (
                <tr key={r.id} data-kind={r.kind}>
                  <td className="num">{r.kind === 'run' ? timeText(r.at) : ''}</td>
                  <td className="num">
                    {timeText(r.startAt)}
                    {r.plusMinusS > 0 && <small> {plusMinusText(r.plusMinusS)}</small>}
                  </td>
                  <td>{r.heat}</td>
                  <th scope="row">{r.what}</th>
                  <td>{r.who}</td>
                  <td className="num">{r.pack}</td>
                  <td className="num">{r.tires}</td>
                  <td>{r.hands}</td>
                  <td />
                </tr>
              ))}
            </tbody>
          </table>
        </div>
        <footer className="small">
          Lithium packs: never charge unattended. Use a fireproof surface and stay within the maker’s limits.
          The event’s rules come first.
        </footer>
      </article>
    </div>
  )
}
