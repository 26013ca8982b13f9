'use client'
import { useEditContext, useBoard, useNow, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, startCharge } from '@/lib/board'
import { channelId, channelOf, chargeSeconds, SOC_AFTER_RUN, SOC_AT_STORAGE } from '@/lib/card'
import { newId } from '@/lib/core/id'
import {
  Button,
  Caution,
  Dialog,
  durationText,
  NumberEntry,
  SelectField,
  Ticket,
  TicketBody,
  TicketHead,
  timeText,
} from '@/app/ui'

/** A pack on a charger without any plan: which, where, at how much. */
export function ChargeByHand() {
  const ctx = useEditContext()
  const [open, setOpen] = useState(false)
  const may = canWrite(ctx, 'meeting', 'charges', 'new', 'startedAt')
  return (
    <div className="no-print">
      <Ticket label="A charge by hand">
        <TicketHead title="A charge by hand" sub="beside the plan, or without one" />
        <TicketBody>
          <Button wide isDisabled={!may} onPress={() => setOpen(true)}>
            Put a pack on charge
          </Button>
          {!may && <p className="small">A manager or a mechanic puts packs on charge.</p>}
        </TicketBody>
      </Ticket>
      {open && <ByHandDialog onClose={() => setOpen(false)} />}
    </div>
  )
}

function ByHandDialog({ onClose }: { onClose: () => void }) {
  const view = useBoard()
  const ctx = useEditContext()
  const now = useNow(10_000)
  const settle = useSettle()
  const [packId, setPackId] = useState<string | null>(null)
  const [where, setWhere] = useState<string | null>(null)
  const [amps, setAmps] = useState<number | null>(null)
  const pack = view.packs.get(packId)
  const busy = new Map(
    view.charges.live
      .filter((c) => c.startedAt?.v && !c.stoppedAt?.v)
      .map((c) => [
        channelId(c.chargerId ?? '', c.channel ?? 0),
        view.packs.get(c.packId)?.label ?? 'a pack',
      ]),
  )
  const packs = view.packs.live.filter(
    (p) => p.state?.v !== 'retired' && p.state?.v !== 'charging' && p.health !== 'suspect',
  )
  const channels = view.chargers.live.flatMap((c) =>
    Array.from({ length: c.channels ?? 1 }, (_, i) => {
      const id = channelId(c.id, i + 1)
      return {
        id,
        label: `${c.label ?? 'Charger'} channel ${i + 1}`,
        ...(busy.has(id) && { detail: `charging ${busy.get(id) ?? ''}`, isDisabled: true }),
      }
    }),
  )
  const oneC = pack?.capacityMah === undefined ? null : Math.round(pack.capacityMah / 500) / 2
  const current = amps ?? oneC
  const charger = view.chargers.get(where ? channelOf(where).chargerId : null)
  const over = current !== null && charger?.channelCurrentA !== undefined && current > charger.channelCurrentA
  const percent = pack?.chargePercent?.v
  const soc = percent != null ? percent / 100 : pack?.state?.v === 'storage' ? SOC_AT_STORAGE : SOC_AFTER_RUN
  const seconds = pack && current ? chargeSeconds(pack, soc, current) : null
  const start = () => {
    if (!packId || !where || current === null) return
    const done = startCharge(ctx, view, {
      chargeId: newId(),
      packId,
      runId: null,
      ...channelOf(where),
      currentA: current,
      expectedEnd: ctx.clock.now() + (seconds ?? 3600) * 1000,
    })
    if (settle(done, `${pack?.label ?? 'Pack'} is on charge`)) onClose()
  }
  return (
    <Dialog
      title="Put a pack on charge"
      isOpen
      onOpenChange={(o) => !o && onClose()}
      acts={() => (
        <Button look="do" isDisabled={!packId || !where || current === null || over} onPress={start}>
          On charge now
        </Button>
      )}
    >
      <SelectField
        label="Pack"
        options={packs.map((p) => ({
          id: p.id,
          label: p.label ?? '?',
          detail: [p.state?.v, p.capacityMah && `${p.capacityMah} mAh`].filter(Boolean).join(', '),
        }))}
        value={packId}
        onChange={(id) => {
          setPackId(id)
          setAmps(null)
        }}
      />
      <SelectField label="Channel" options={channels} value={where} onChange={setWhere} />
      <NumberEntry
        label="Current"
        value={current}
        onChange={setAmps}
        min={0.1}
        max={100}
        step={0.1}
        unit="A"
        hint={
          pack?.maxChargeC && pack.capacityMah
            ? `1C is ${oneC ?? '?'} A; the pack takes up to ${((pack.maxChargeC * pack.capacityMah) / 1000).toFixed(1)} A`
            : '1C, the capacity in Ah, is what most makers call gentle.'
        }
      />
      {over && (
        <p className="refusal" role="alert">
          {charger.label} gives up to {charger.channelCurrentA} A per channel.
        </p>
      )}
      {seconds !== null && (
        <p>
          Full in about <b className="num">{durationText(seconds * 1000)}</b>, at{' '}
          <b className="num">{timeText(now + seconds * 1000)}</b>
          {percent == null && ', taking it as after a run'}.
        </p>
      )}
      <Caution kind="pack" />
    </Dialog>
  )
}
