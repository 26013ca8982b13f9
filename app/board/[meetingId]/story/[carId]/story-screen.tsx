'use client'
import { MissingCar } from '@/app/meeting/missing-car'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useDerived } from '@/app/sync'
import { useParams } from 'next/navigation'
import { carStory, runName, type StoryRow } from '@/lib/card'
import type { Board } from '@/lib/derived'
import { clockText } from '@/lib/core/clock-text'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { END_WORDS, FEEL_WORDS, remarkText } from '@/app/words/debrief-words'
import { Button, Empty, Link, LinkButton, Ticket, TicketHead, timeText } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { LapSpark } from './lap-spark'
import { TwoRuns } from './two-runs'
import './story.css'

const carOf = (board: Board, carId: string) => board.cars.get(carId)

/** All runs of a car in one table, and any two of them lap by lap. */
export function StoryScreen() {
  const meetingId = useMeetingId()
  const { carId } = useParams<{ carId: string }>()
  const car = useDerived(carOf, carId)
  const rows = useDerived(carStory, carId)
  if (!car || car.removed) return <MissingCar />
  if (rows.length === 0)
    return (
      <div className="page page-narrow">
        <Empty
          title={`${car.name ?? 'The car'} has not run yet`}
          level={1}
          acts={<LinkButton href={`/board/${meetingId}/debrief`}>Debrief</LinkButton>}
        >
          <p>Its first run is here once the start of its heat is stamped.</p>
        </Empty>
      </div>
    )
  return <Story key={carId} name={car.name ?? 'Car'} carId={carId} rows={rows} />
}

function Story({ name, carId, rows }: { name: string; carId: string; rows: readonly StoryRow[] }) {
  const meetingId = useMeetingId()
  const seconds = rows.flatMap((r) => r.laps.laps.filter((l) => l.mark === null).map((l) => l.seconds))
  const range: [number, number] = [Math.min(...seconds), Math.max(...seconds)]
  const best = Math.min(...rows.flatMap((r) => r.bestS ?? []))
  return (
    <div className="page story-page">
      <Ticket as="article" label={`${name}, its runs`}>
        <TicketHead
          level={1}
          title={name}
          sub={`${rows.length} ${rows.length === 1 ? 'run' : 'runs'} at this meeting`}
        />
        <RuledTable
          label={`Runs of ${name}`}
          className="story-table"
          head={[
            'Run',
            'Changed',
            { figures: 'Result' },
            { figures: 'Best' },
            { figures: 'Mean' },
            { figures: 'Median' },
            { figures: 'Spread' },
            'Laps',
            { figures: 'Motor can' },
            { figures: 'Put back' },
            'Words',
          ]}
        >
          <tbody>
            {rows.map((row, i) => (
              <StoryLine
                key={row.run.runId}
                row={row}
                range={range}
                isBest={row.bestS === best}
                isFirst={i === 0}
              />
            ))}
          </tbody>
        </RuledTable>
        <p className="ticket-body small">
          Best of all laps. Mean of the laps without crashes and traffic; median and spread (standard
          deviation) of the laps that nobody marked. Laps: each dot is one, higher is slower, hollow is
          marked.
        </p>
      </Ticket>
      <TwoRuns rows={rows} />
      <div className="btn-row no-print">
        <LinkButton href={`/board/${meetingId}/card/${carId}`}>The card</LinkButton>
        <LinkButton href={`/board/${meetingId}/debrief`}>Debrief</LinkButton>
        <Button onPress={() => window.print()}>Print</Button>
      </div>
    </div>
  )
}

const two = (s: number | null | undefined) =>
  s === null || s === undefined ? '–' : figureText(s, { digits: 2 })

function StoryLine({
  row: { run, changes, laps, meanS, bestS, remarks },
  range,
  isBest,
  isFirst,
}: {
  row: StoryRow
  range: [number, number]
  isBest: boolean
  isFirst: boolean
}) {
  const view = useBoard()
  const meetingId = useMeetingId()
  const now = run.run
  const result = now?.result?.v
  const feel = now?.feel?.v
  const words = [
    feel ? FEEL_WORDS[feel] : null,
    ...remarks.map((r) => remarkText(view, r.said.v)),
    now?.driverWords?.v ? `“${now.driverWords.v}”` : null,
  ].filter((w) => w)
  return (
    <tr>
      <th scope="row">
        <Link href={`/board/${meetingId}/debrief/${run.runId}`}>{runName(run)}</Link>
        <span className="small block">{timeText(run.startAt ?? 0)}</span>
      </th>
      <td className="story-changes">
        {changes === null ? (
          <span className="small">{isFirst ? 'first run' : 'not known'}</span>
        ) : changes.length === 0 ? (
          <span className="small">nothing</span>
        ) : (
          <ul>
            {changes.map((c) => (
              <li key={c.parameterId}>
                {c.label} <span className="num">{settingText(c.was, c.unit)}</span> →{' '}
                <b className="num">{settingText(c.now, c.unit)}</b>
              </li>
            ))}
          </ul>
        )}
      </td>
      <td className="is-number">
        {result
          ? result.ended
            ? END_WORDS[result.ended]
            : `${result.laps}/${clockText(result.seconds)}`
          : '–'}
        {result?.position !== undefined && <span className="small block">place {result.position}</span>}
      </td>
      <td className="is-number">
        {two(bestS)}
        {isBest && <span className="small block">fastest</span>}
      </td>
      <td className="is-number">{two(meanS)}</td>
      <td className="is-number">{two(laps.clean?.medianS)}</td>
      <td className="is-number">{two(laps.clean?.spreadS)}</td>
      <td>
        <LapSpark laps={laps.laps} range={range} />
      </td>
      <td className="is-number">{settingText(now?.motorC?.v, '°C')}</td>
      <td className="is-number">{settingText(now?.chargeBackMah?.v, 'mAh')}</td>
      <td className="story-words">{words.join('. ') || '–'}</td>
    </tr>
  )
}
