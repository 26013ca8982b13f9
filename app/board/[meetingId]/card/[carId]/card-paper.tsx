'use client'
import { useBoard, useNameOf, useNow, useSession } from '@/app/sync'
import { settingText } from '@/lib/core/setting-text'
import { cardGroups, openFollowUps, rowIsLoose, type CardRow, type RunInfo, heatOfRun } from '@/lib/card'
import { shortDayText, timeText } from '@/app/ui'

/** The card for one A5 side: what is assigned, what was fitted when it was printed, and room to write where they differ. */
export function CardPaper({ carId, run }: { carId: string; run: RunInfo | undefined }) {
  const view = useBoard()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const me = useSession()
  const car = view.cars.get(carId)
  const groups = cardGroups(view, carId)
    .map((g) => ({ ...g, rows: g.rows.filter((r) => r.state !== 'empty') }))
    .filter((g) => g.rows.length > 0)
  const followUps = openFollowUps(view, carId)
  const meeting = view.meeting.get('meeting')
  const motor = view.motors.get(car?.motorId)?.name
  const control = view.controllers.get(car?.controllerId)?.name
  const pack = view.packs.get(run?.run?.packId?.v)?.label
  const tires = view.tireSets.get(run?.run?.tireSetId?.v)?.label
  return (
    <article className="paper print-only" aria-label={`Setup card of ${car?.name ?? 'the car'} on paper`}>
      <header>
        <div>
          <b className="paper-name">{car?.name ?? 'Car'}</b>
          <span>
            {[
              nameOf(car?.driverId),
              run?.raceClass?.name,
              run?.entry.carNumber && `car ${run.entry.carNumber}`,
            ]
              .filter(Boolean)
              .join(', ')}
          </span>
        </div>
        <div className="paper-stub">
          {run?.callAt ? (
            <>
              <b className="num">{timeText(run.callAt)}</b>
              <span>call, {heatOfRun(run)}</span>
            </>
          ) : (
            <span>no coming run</span>
          )}
        </div>
      </header>
      <p>
        {[
          motor && `Motor ${motor}`,
          control && `control ${control}`,
          pack && `pack ${pack}`,
          tires && `tires ${tires}`,
        ]
          .filter(Boolean)
          .join(', ')}
      </p>
      <div className="paper-groups">
        {groups.map((g) => (
          <table key={g.id}>
            <thead>
              <tr>
                <th scope="col">{g.name}</th>
                <th scope="col">assigned</th>
                <th scope="col">fitted</th>
              </tr>
            </thead>
            <tbody>
              {g.rows.map((r) => (
                <PaperRow key={r.parameter.id} row={r} />
              ))}
            </tbody>
          </table>
        ))}
      </div>
      {followUps.length > 0 && (
        <p>
          <b>To do:</b> {followUps.map((f) => `▢ ${f.name}`).join('   ')}
        </p>
      )}
      <footer>
        <span>
          {meeting?.name ?? 'Meeting'}, printed {shortDayText(now)} {timeText(now)} by {nameOf(me.personId)}
        </span>
        <span>Things may have changed since printing. The board counts, not the paper.</span>
      </footer>
    </article>
  )
}

function PaperRow({ row }: { row: CardRow }) {
  const { parameter: p, assigned, fitted } = row
  return (
    <tr data-loose={rowIsLoose(row) ? '' : undefined}>
      <th scope="row">{p.label}</th>
      <td>{settingText(assigned, p.unit)}</td>
      <td>
        {row.state === 'equal'
          ? '='
          : row.state === 'not-read-back'
            ? `${settingText(fitted)} ▢ read`
            : fitted === null
              ? '▢'
              : assigned === null
                ? settingText(fitted, p.unit)
                : `${settingText(fitted)} ▢`}
      </td>
    </tr>
  )
}
