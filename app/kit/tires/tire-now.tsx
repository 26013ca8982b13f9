'use client'
import { changeRecord, setTireState, type TireState } from '@/lib/board'
import { useAct, useBoard, useMay, useNow, SavedMark } from '@/app/sync'
import {
  agoText,
  Button,
  Caution,
  Figure,
  Figures,
  Note,
  SelectField,
  Ticket,
  TicketBody,
  TicketHead,
  TicketSection,
} from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { TIRE_STATE_WORDS } from '@/app/words/tire-states'

const TAPS: readonly TireState[] = ['ready', 'used', 'worn', 'new']

/** What a tire set's label opens: where it is, how many runs it has, and one tap to say what is true now. */
export function TireNow({ tireSetId }: { tireSetId: string }) {
  const view = useBoard()
  const act = useAct()
  const now = useNow(30_000)
  const may = useMay('kit', 'tireSets', tireSetId, 'state')
  const set = view.tireSets.get(tireSetId)
  if (!set) return null
  const name = nameOf(set)
  const state = set.state?.v
  const worn = set.runsGood !== undefined && (set.runs ?? 0) >= set.runsGood
  const onCar = state === 'on-car' ? view.cars.get(set.onCarId) : undefined
  const put = (next: TireState, carId?: string) =>
    act(
      (ctx, v) => setTireState(ctx, v, { tireSetId, state: next, carId }),
      `${name} is ${carId ? `on ${nameOf(view.cars.get(carId))}` : TIRE_STATE_WORDS[next].word}`,
    )
  const count = (by: 1 | -1) =>
    act(
      (ctx, v) =>
        changeRecord(ctx, 'kit', 'tireSets', tireSetId, {
          runs: Math.max(0, (v.tireSets.get(tireSetId)?.runs ?? 0) + by),
        }),
      `${name}: one run ${by > 0 ? 'more' : 'less'}`,
    )
  const fitting = view.cars.live.filter((c) => !set.drive || !c.drive || c.drive === set.drive)
  return (
    <Ticket as="article" tone={worn ? 'hot' : 'plain'}>
      <TicketHead
        level={1}
        title={`Tire set ${name}`}
        sub={[set.compound, set.tread, set.insert].filter(Boolean).join(', ')}
        stub={
          <>
            <small>
              {set.state
                ? `${view.people.get(set.state.by)?.name ?? 'somebody'}, ${agoText(set.state.at, now)}`
                : ''}
            </small>
            <b>{onCar ? `on ${nameOf(onCar)}` : state ? TIRE_STATE_WORDS[state].word : 'state not known'}</b>
          </>
        }
      />
      {worn && (
        <Note tone="hot">
          {set.runs} runs of {set.runsGood}: worn by your own limit.
        </Note>
      )}
      <Figures label={`Tire set ${name} now`}>
        <Figure label="Runs so far" value={String(set.runs ?? 0)}>
          {set.runsGood !== undefined && <span className="small block">good for {set.runsGood}</span>}
        </Figure>
        <Figure
          label="Diameter"
          value={set.diameterMm === undefined ? null : String(set.diameterMm)}
          unit="mm"
          missing="not measured yet"
        />
      </Figures>
      <TicketSection
        title="Where is it now?"
        level={2}
        aside={
          <SavedMark
            doc="kit"
            collection="tireSets"
            recordId={tireSetId}
            field={['state', 'onCarId', 'runs']}
          />
        }
      />
      <TicketBody>
        <SelectField
          label="On a car"
          options={fitting.map((c) => ({ id: c.id, label: nameOf(c), detail: c.drive?.toUpperCase() }))}
          value={onCar?.id ?? null}
          placeholder={fitting.length ? 'Pick the car it went on' : 'No car for these tires in the kit'}
          isDisabled={!may || fitting.length === 0}
          onChange={(id) => id && put('on-car', id)}
        />
        <div className="pack-acts" role="group" aria-label="Where is it now?">
          {TAPS.map((s) => (
            <Button
              key={s}
              look={s === state ? 'do' : TIRE_STATE_WORDS[s].tone === 'hot' ? 'hot' : 'plain'}
              isDisabled={!may || s === state}
              aria-pressed={s === state}
              onPress={() => put(s)}
            >
              {s === state ? `Now ${TIRE_STATE_WORDS[s].word}` : TIRE_STATE_WORDS[s].act}
            </Button>
          ))}
        </div>
        <div className="pack-acts" role="group" aria-label="Runs the board does not know">
          <Button isDisabled={!may} onPress={() => count(1)}>
            Count one run more
          </Button>
          <Button isDisabled={!may || !set.runs} onPress={() => count(-1)}>
            One run less
          </Button>
        </div>
        <p className="small">
          The finish of each heat counts by itself. Count only what the board does not know, as practice
          elsewhere.
        </p>
        {!may && <p className="small">A manager or a mechanic can say where a tire set is.</p>}
        <Caution kind="wheels" />
      </TicketBody>
    </Ticket>
  )
}
