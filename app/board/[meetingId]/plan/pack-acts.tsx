'use client'
import { runsNow, carInHeat } from '@/lib/card'
import { useBoard, useDerived, useEditContext, useSettle, useNow } from '@/app/sync'
import { useState } from 'react'
import { canWrite, pinCharge, startPlanned, type MeetingRecord } from '@/lib/board'
import { Button, Caution, durationText, Link, Tick, Ticket, TicketHead, timeText } from '@/app/ui'
import { OffChargeDialog } from '@/app/meeting/charging/off-charge-dialog'

type Charge = MeetingRecord<'charges'>

/** The charges as jobs for hands, soonest first: put it on, take it off, with the figures that are needed at the charger. */
export function PackActs() {
  const view = useBoard()
  const open = view.charges.live
    .filter((c) => !c.stoppedAt?.v && c.packId)
    .map((c) => ({ charge: c, at: c.startedAt?.v ? (c.plannedEnd ?? 0) : (c.plannedStart ?? 0) }))
    .sort((a, b) => a.at - b.at)
  return (
    <div className="grid gap-4 min-w-0">
      <Ticket label="At the chargers">
        <TicketHead
          title="At the chargers"
          sub={open.length ? 'earliest first' : 'no charge planned or running'}
        />
        <ul className="ruled">
          {open.map(({ charge }) => (
            <li key={charge.id} data-charge={charge.id}>
              <ChargeRow charge={charge} />
            </li>
          ))}
        </ul>
        {open.length === 0 && (
          <p className="ticket-body small">
            Make a plan and apply it. Each charge then shows up here with its channel, current and time.
          </p>
        )}
      </Ticket>
      <Caution kind="pack" />
    </div>
  )
}

function ChargeRow({ charge }: { charge: Charge }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const ctx = useEditContext()
  const settle = useSettle()
  const now = useNow(10_000)
  const [stopping, setStopping] = useState(false)
  const pack = view.packs.get(charge.packId)
  const run = runs.find((r) => r.runId === charge.runId)
  const where = `${view.chargers.get(charge.chargerId)?.label ?? 'Charger'} channel ${charge.channel ?? '?'}`
  const may = canWrite(ctx, 'meeting', 'charges', charge.id, 'startedAt')
  const started = charge.startedAt?.v
  const end = charge.plannedEnd
  const needed = run?.callAt ? `needed ${timeText(run.callAt)}` : 'for no run'
  const start = () => void settle(startPlanned(ctx, view, charge.id), `${pack?.label ?? 'Pack'} is on charge`)
  return (
    <div className="pack-act">
      {pack ? (
        <Link
          href={`/kit/packs/${pack.id}`}
          className="num choose-label tap"
          aria-label={`Pack ${pack.label ?? '?'}, its page`}
        >
          {pack.label ?? '?'}
        </Link>
      ) : (
        <span className="num choose-label">?</span>
      )}
      <span className="min-w-0">
        {started ? (
          <>
            on {where} at <span className="num">{charge.currentA} A</span> since {timeText(started)}
          </>
        ) : (
          <>
            put on {where} at <span className="num">{charge.currentA} A</span>
            {charge.plannedStart &&
              (charge.plannedStart <= now
                ? ' now'
                : ` at ${timeText(charge.plannedStart)}, in ${durationText(charge.plannedStart - now)}`)}
          </>
        )}
        <span className="small block">
          {end ? `ready ${timeText(end)}, ` : ''}
          {needed}
          {run && ` · ${carInHeat(run)}`}
        </span>
      </span>
      {started ? (
        <Button look="do" isDisabled={!may} onPress={() => setStopping(true)}>
          Off charge
        </Button>
      ) : (
        <Button look="do" isDisabled={!may} onPress={start}>
          On charge
        </Button>
      )}
      {!started && (
        <span className="pack-keep">
          <Tick
            isSelected={charge.pinned ?? false}
            isDisabled={!may}
            onChange={(pinned) => void settle(pinCharge(ctx, { chargeId: charge.id, pinned }))}
          >
            Pin<span className="visually-hidden"> this charge of {pack?.label ?? 'the pack'}</span>
          </Tick>
        </span>
      )}
      <OffChargeDialog charge={charge} isOpen={stopping} onOpenChange={setStopping} />
    </div>
  )
}
