'use client'
import { parameterOf, type Setting } from '@/lib/board'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { hereAs } from '@/lib/core/zone'
import type { CarThen } from '@/lib/season'
import { useBoard } from '@/app/sync'
import { dayText, LinkButton, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { resultText } from '@/app/words/debrief-words'
import { SeasonStateNote } from './season-state-note'
import './last-time.css'
import { useSeasonLook } from './use-season-look'

/** What the team ran on this track the last time, what came of it, and what was written. Nothing where it never was here. */
export function LastTime({
  trackId,
  before,
  notThis = null,
}: {
  trackId: string
  before: number
  notThis?: string | null
}) {
  const view = useBoard()
  const looked = useSeasonLook({ kind: 'last', trackId, before, notThis })
  const { last } = looked
  const others = view.meetings.live.some((m) => m.id !== notThis && (m.startsAt ?? 0) < before)
  if (!others || (looked.isRead && !last && looked.away.length === 0)) return null
  const air = last?.airC && airText(last.airC)
  return (
    <Ticket label="Last time here" id="last-time">
      <TicketHead
        title="Last time here"
        sub={
          last
            ? [last.meetingName, last.day !== null && dayText(hereAs(last.day, last.zone)), air]
                .filter(Boolean)
                .join(', ')
            : nameOf(view.tracks.get(trackId))
        }
      />
      {last?.cars.map((car) => (
        <CarPart key={car.carId} car={car} />
      ))}
      <TicketBody>
        <SeasonStateNote looked={looked} />
        {last && (
          <>
            {last.earlier > 0 && (
              <p className="small">
                {last.earlier} {last.earlier === 1 ? 'meeting' : 'meetings'} here before that.
              </p>
            )}
            <div className="btn-row">
              <LinkButton href={`/board/${last.meetingId}/card`}>Its cards</LinkButton>
              <LinkButton href={`/board/${last.meetingId}/debrief`}>Its debriefs</LinkButton>
            </div>
          </>
        )}
      </TicketBody>
    </Ticket>
  )
}

const airText = ([low, high]: readonly [number, number]): string =>
  `air ${low === high ? '' : `${figureText(low)} to `}${figureText(high, { unit: '°C' })}`

/** One car: its result in the line, the rest behind it. */
function CarPart({ car }: { car: CarThen }) {
  const view = useBoard()
  const values = Object.entries(car.values)
  const name = nameOf(view.cars.get(car.carId)) || 'a car that was removed'
  return (
    <details className="last-car">
      <summary>
        <b>{name}</b>
        <span className="num">
          {car.best?.laps != null && car.best.timeS !== null
            ? resultText({
                laps: car.best.laps,
                seconds: car.best.timeS,
                ...(car.best.place !== null && { position: car.best.place }),
              })
            : `${car.runs} ${car.runs === 1 ? 'run' : 'runs'}, no result`}
        </span>
      </summary>
      <p className="small">
        {[
          `${car.runs} ${car.runs === 1 ? 'run' : 'runs'}`,
          car.bestS !== null && `best lap ${figureText(car.bestS, { digits: 2, unit: 's' })}`,
          car.meanS !== null && `mean lap of the best run ${figureText(car.meanS, { digits: 2, unit: 's' })}`,
        ]
          .filter(Boolean)
          .join(', ')}
      </p>
      {car.said.length > 0 && (
        <p>
          {car.said
            .map(
              ({ wordId, runs }) => `${view.handlingWords.get(wordId)?.name ?? 'a removed word'} (${runs})`,
            )
            .join(', ')}
        </p>
      )}
      {car.words.map((w) => (
        <p key={w.runId}>
          “{w.text}” <span className="small">{w.heat}</span>
        </p>
      ))}
      {car.notes.map((text) => (
        <p key={text}>{text}</p>
      ))}
      {values.length > 0 && (
        <dl className="last-values">
          {values.map(([id, value]) => (
            <ValuePart key={id} carId={car.carId} id={id} value={value} />
          ))}
        </dl>
      )}
    </details>
  )
}

/** What was in the car then, and what its card has now where that is another value. */
function ValuePart({ carId, id, value }: { carId: string; id: string; value: Setting }) {
  const view = useBoard()
  const parameter = parameterOf(view, carId, id)
  const card = view.cardValues.get(`${carId}.${id}`)
  const now = card?.assigned?.v ?? card?.fitted?.v
  if (!parameter) return null
  return (
    <div>
      <dt>{parameter.label}</dt>
      <dd className="num">
        {settingText(value, parameter.unit)}
        {now !== undefined && now !== null && now !== value && (
          <small>, now {settingText(now, parameter.unit)}</small>
        )}
      </dd>
    </div>
  )
}
