'use client'
import { useState } from 'react'
import { readPackVoltage, setPackState, type PackState } from '@/lib/board'
import { useAct, useBoard, useMay, useNow, SavedMark } from '@/app/sync'
import {
  agoText,
  Button,
  Caution,
  Confirm,
  Figure,
  Figures,
  Note,
  VoltsEntry,
  Ticket,
  TicketBody,
  TicketHead,
  TicketSection,
} from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { PACK_STATE_ACTS, packStateWord, voltageWarning } from '@/app/words/pack-states'

/** What a pack's label opens: where the pack stands, one tap to say where it stands now, and its voltage. */
export function PackNow({ packId }: { packId: string }) {
  const view = useBoard()
  const act = useAct()
  const now = useNow(30_000)
  const may = useMay('kit', 'packs', packId, 'state')
  const [volts, setVolts] = useState<number | null>(null)
  const [asking, setAsking] = useState(false)
  const pack = view.packs.get(packId)
  if (!pack) return null
  const name = nameOf(pack)
  const state = pack.state?.v
  const rest = pack.restVoltageV
  const warning = voltageWarning(pack.cells, rest?.v)
  const doubtful = warning !== null || pack.health === 'suspect'
  const by = (stamp: { by: string; at: number } | undefined) =>
    stamp ? `${view.people.get(stamp.by)?.name ?? 'somebody'}, ${agoText(stamp.at, now)}` : ''
  const setState = (next: PackState) =>
    act(
      (ctx) =>
        setPackState(ctx, { packId, state: next, chargePercent: next === 'charged' ? 100 : undefined }),
      `${name} is ${packStateWord(next).word}`,
    )
  const saveVolts = () => {
    if (volts === null) return
    const done = act(
      (ctx, v) => readPackVoltage(ctx, v, { packId, volts }),
      `${name}: ${volts.toFixed(2)} V read`,
    )
    if (done.ok) setVolts(null)
  }
  return (
    <Ticket as="article" tone={doubtful ? 'hot' : 'plain'}>
      <TicketHead
        level={1}
        title={`Pack ${name}`}
        sub={[pack.capacityMah && `${pack.capacityMah} mAh`, pack.cells && `${pack.cells} cells`]
          .filter(Boolean)
          .join(', ')}
        stub={
          <>
            <small>{by(pack.state)}</small>
            <b>{state ? packStateWord(state).word : 'state not known'}</b>
          </>
        }
      />
      {warning && <Note tone="hot">{warning}</Note>}
      {pack.health === 'suspect' && (
        <Note tone="hot">Marked suspect. Do not charge it or put it in a car.</Note>
      )}
      <Figures label={`Pack ${name} now`}>
        <Figure
          label="Resting voltage"
          value={rest?.v == null ? null : rest.v.toFixed(2)}
          unit="V"
          missing="not measured yet"
        >
          <span className="small block">
            {by(rest)} <SavedMark doc="kit" collection="packs" recordId={packId} field="restVoltageV" />
          </span>
        </Figure>
        <Figure
          label="Per cell"
          value={rest?.v == null || !pack.cells ? null : (rest.v / pack.cells).toFixed(2)}
          unit="V"
          missing={pack.cells ? 'measure the voltage' : 'number of cells missing'}
        />
        <Figure
          label="State of charge"
          value={pack.chargePercent?.v == null ? null : String(Math.round(pack.chargePercent.v))}
          unit="%"
        >
          {pack.chargePercent?.v != null && <span className="small block">{by(pack.chargePercent)}</span>}
        </Figure>
      </Figures>
      <div className="no-print">
        <TicketSection
          title="What state is it in?"
          level={2}
          aside={<SavedMark doc="kit" collection="packs" recordId={packId} field="state" />}
        />
        <TicketBody>
          <div className="pack-acts" role="group" aria-label="What state is it in?">
            {PACK_STATE_ACTS.map((s) => (
              <Button
                key={s.state}
                look={s.state === state ? 'do' : s.tone === 'hot' ? 'hot' : 'plain'}
                isDisabled={!may || s.state === state}
                aria-pressed={s.state === state}
                onPress={() => (s.state === 'charging' && doubtful ? setAsking(true) : setState(s.state))}
              >
                {s.state === state ? `Now ${s.word}` : s.act}
              </Button>
            ))}
          </div>
          {!may && <p className="small">A manager or a mechanic can set a pack’s state.</p>}
          <div className="grid gap-2 sm:grid-cols-[minmax(0,1fr)_auto] items-end">
            <VoltsEntry
              label="Resting voltage of the whole pack, measured now"
              value={volts}
              onChange={setVolts}
              isDisabled={!may}
              onEnter={saveVolts}
            />
            <Button look="do" isDisabled={!may || volts === null} onPress={saveVolts}>
              Save the reading
            </Button>
          </div>
        </TicketBody>
      </div>
      <TicketBody>
        <Caution kind="pack" />
      </TicketBody>
      <Confirm
        title={`Put ${name} on charge?`}
        isOpen={asking}
        onOpenChange={setAsking}
        act="Charge it anyway"
        hot
        onConfirm={() => setState('charging')}
      >
        <p>{warning ?? 'This pack is marked suspect.'}</p>
        <Caution kind="pack" />
      </Confirm>
    </Ticket>
  )
}
