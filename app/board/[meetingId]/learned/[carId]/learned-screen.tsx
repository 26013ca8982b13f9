'use client'
import { useEffect } from 'react'
import { useParams } from 'next/navigation'
import { MissingCar } from '@/app/meeting/missing-car'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import {
  cardGround,
  inputLabel,
  INPUTS,
  nextRunOf,
  runsNow,
  type InputId,
  type ProjectionBasis,
} from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import type { Learned } from '@/lib/learning'
import { z90 } from '@/lib/setup-math'
import { LEARNED_FIGURES, percentOff, SHOWN_FIGURES } from '@/app/card/learned-words'
import { useLapProjections } from '@/app/card/projection-context'
import { SuggestionsPart } from '@/app/meeting/suggestions-part'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useBoard, useDerived } from '@/app/sync'
import { ThreadNote } from '@/app/threads/thread-note'
import { useAsked } from '@/app/threads/use-desk'
import { Empty, Link, LinkButton, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { LearnedRuns } from './learned-runs'
import '@/app/card/card-parts.css'

/** What a car's runs have told of it: each figure's ± before and now, and the runs that made it so. */
export function LearnedScreen() {
  const view = useBoard()
  const { carId } = useParams<{ carId: string }>()
  const car = view.cars.get(carId)
  if (!car || car.removed) return <MissingCar />
  return <LearnedOf key={carId} carId={carId} name={car.name ?? 'the car'} />
}

function LearnedOf({ carId, name }: { carId: string; name: string }) {
  const meetingId = useMeetingId()
  const runs = useDerived(runsNow)
  const ground = useDerived(cardGround, carId, nextRunOf(runs, carId)?.runId ?? '')
  const { basis, key } = ground
  const lap = useLapProjections(carId, key)
  const desk = useWhatIfDesk()
  const state = useAsked(desk, 'learned')
  const hasRuns = basis.records.length > 0
  useEffect(() => {
    if (hasRuns) desk.ask('learned', basis, key)
  }, [desk, hasRuns, key, basis])
  const learned = state.answer?.learned ?? null
  return (
    <div className="page">
      <div className="page-head">
        <h1>What the runs taught: {name}</h1>
        <p>
          <Link className="tap" href={`/board/${meetingId}/card/${carId}`}>
            The card
          </Link>
        </p>
      </div>
      {!hasRuns ? (
        <Empty
          title="Nothing learned yet"
          acts={<LinkButton href={`/board/${meetingId}/order`}>The order</LinkButton>}
        >
          <p>
            After a run, enter its result, what the charger put back, and the motor’s temperature. Each of
            them narrows what this car’s card projects.
          </p>
        </Empty>
      ) : (
        <div className="grid grid-cols-1 gap-4 min-w-0">
          {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
          <FiguresTicket
            basis={basis}
            learned={learned}
            isStale={state.stale}
            isKnown={state.answer !== null}
          />
          <LearnedRuns records={basis.records} learned={learned} />
          <SuggestionsPart
            carId={carId}
            ground={ground}
            desk={desk}
            isReady={lap.projections?.withSpread === true && !lap.stale}
          />
        </div>
      )}
    </div>
  )
}

const share = (x: number): string => `${figureText(100 * x, { digits: 1 })}%`

function FiguresTicket({
  basis,
  learned,
  isStale,
  isKnown,
}: {
  basis: ProjectionBasis
  learned: Learned | null
  isStale: boolean
  isKnown: boolean
}) {
  const label = (id: string) => (id in INPUTS ? inputLabel(id as InputId, basis.inputs).toLowerCase() : id)
  return (
    <Ticket label="Figures">
      <TicketHead
        title="Each figure, before these runs and now"
        sub={
          isStale
            ? 'working on the latest change'
            : '± in percent of the figure: nine in ten runs lie within it'
        }
      />
      {!learned ? (
        <TicketBody>
          <p>
            {isKnown
              ? 'These runs can’t be driven by the model yet. The card says what it needs.'
              : 'Simulating each run …'}
          </p>
        </TicketBody>
      ) : (
        <>
          <RuledTable
            label="Figures and their ±"
            head={[
              'Figure',
              { figures: 'Runs' },
              { figures: '± before' },
              { figures: '± now' },
              'Now expected',
            ]}
          >
            <tbody>
              {SHOWN_FIGURES.map((f) => {
                const { readings, sdBefore, sdNow, mean } = learned.figures[f]
                return (
                  <tr key={f}>
                    <th scope="row">{LEARNED_FIGURES[f]}</th>
                    <td className="is-number">{readings}</td>
                    <td className="is-number">{share(z90 * sdBefore)}</td>
                    <td className="is-number">{share(z90 * sdNow)}</td>
                    <td>
                      {readings === 0
                        ? 'not measured yet'
                        : `${percentOff(mean)} ${mean < 0 ? 'below' : 'above'} the model`}
                    </td>
                  </tr>
                )
              })}
            </tbody>
          </RuledTable>
          {learned.together
            .filter((t) => SHOWN_FIGURES.includes(t.figure))
            .map(({ figure, inputs }) => (
              <p key={figure} className="ticket-body small">
                {LEARNED_FIGURES[figure]}: these runs can’t tell apart {inputs.map(label).join(', ')}.
              </p>
            ))}
        </>
      )}
    </Ticket>
  )
}
