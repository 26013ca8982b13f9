'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useEditContext, useBoard, useSettle } from '@/app/sync'
import { useState } from 'react'
import {
  canWrite,
  fitValue,
  joinId,
  parameterOf,
  readBackValue,
  signFollowUp,
  statePowerCycle,
} from '@/lib/board'
import type { LooseEnd } from '@/lib/card'
import { never } from '@/lib/core/assert'
import { settingText } from '@/lib/core/setting-text'
import { Button, LinkButton } from '@/app/ui'
import { ChoosePack } from '@/app/meeting/choose-pack'
import { ChooseTires } from '@/app/meeting/choose-tires'
import { PackInDialog } from '@/app/meeting/pack-in-dialog'
import { PackStateDialog } from './pack-state-dialog'
import { StandInDialog } from '@/app/meeting/stand-in-dialog'
import { TiresOnDialog } from '@/app/meeting/tires-on-dialog'

/** The one tap that closes a loose end, or leads to where it is closed. Greyed out, with a reason, for who may not. */
export function LooseEndAct({ end }: { end: LooseEnd }) {
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const meetingId = useMeetingId()
  const [open, setOpen] = useState(false)
  const { act } = end
  const may = (doc: 'kit' | 'meeting', collection: string, id: string, field: string) =>
    canWrite(ctx, doc, collection, id, field)
  const cardLink = (carId: string, label: string, anchor = '') => (
    <LinkButton href={`/board/${meetingId}/card/${carId}${anchor}`}>{label}</LinkButton>
  )
  const dialogButton = (label: string, allowed: boolean) => (
    <Button isDisabled={!allowed} onPress={() => setOpen(true)}>
      {label}
    </Button>
  )

  switch (act.kind) {
    case 'fit': {
      const p = parameterOf(view, act.carId, act.parameterId)
      const text = `${settingText(act.value, p?.unit)} is fitted`
      if (!may('meeting', 'cardValues', joinId(act.carId, act.parameterId), 'fitted'))
        return cardLink(act.carId, 'Open card', `#${act.parameterId}`)
      return (
        <Button onPress={() => settle(fitValue(ctx, view, act), `${p?.label ?? 'Value'}: ${text}`)}>
          {text}
        </Button>
      )
    }
    case 'power-cycle':
      if (!may('meeting', 'cardValues', joinId(act.carId, 'esc'), 'cycled'))
        return cardLink(act.carId, 'Open card')
      return (
        <Button onPress={() => settle(statePowerCycle(ctx, view, act), 'Switched off and on again')}>
          Switched off and on again
        </Button>
      )
    case 'read-back': {
      const p = parameterOf(view, act.carId, act.parameterId)
      if (!may('meeting', 'cardValues', joinId(act.carId, act.parameterId), 'readBack'))
        return cardLink(act.carId, 'Open card', `#${act.parameterId}`)
      return (
        <div className="btn-row">
          <Button onPress={() => settle(readBackValue(ctx, view, act), `${p?.label ?? 'Value'} read back`)}>
            Reads {settingText(act.value, p?.unit)} after power cycle
          </Button>
          {cardLink(act.carId, 'Reads another value', `#${act.parameterId}`)}
        </div>
      )
    }
    case 'sign-follow-up':
      if (!may('meeting', 'followUps', joinId(act.carId, act.ruleId), 'signed'))
        return cardLink(act.carId, 'Open card', '#follow-ups')
      return <Button onPress={() => settle(signFollowUp(ctx, act), 'Follow-up signed')}>Done, sign it</Button>
    case 'open-card':
      return cardLink(act.carId, 'Open card', act.parameterId ? `#${act.parameterId}` : '')
    case 'open-proposal':
      return cardLink(act.carId, 'See the proposal', '#proposals')
    case 'open-checklist': {
      const carId = view.entries.get(act.runId)?.carId
      return carId ? cardLink(carId, 'Open the list', '#checklists') : null
    }
    case 'open-staging':
      return <LinkButton href={`/board/${meetingId}/staging/${act.runId}`}>Open staging</LinkButton>
    case 'open-debrief':
      return <LinkButton href={`/board/${meetingId}/debrief/${act.runId}`}>Open the debrief</LinkButton>
    case 'open-set-up':
      return <LinkButton href={`/board/${meetingId}/setup`}>Open meeting setup</LinkButton>
    case 'open-plan':
      return <LinkButton href={`/board/${meetingId}/plan`}>Look at the proposal</LinkButton>
    case 'open-kit':
      return <LinkButton href="/kit">Open kit</LinkButton>
    case 'pack-state':
      return (
        <>
          {dialogButton('Set its state', may('kit', 'packs', act.packId, 'state'))}
          <PackStateDialog packId={act.packId} isOpen={open} onOpenChange={setOpen} />
        </>
      )
    case 'pack-in':
      return (
        <>
          {dialogButton('It is in', may('meeting', 'runs', act.runId, 'packIn'))}
          <PackInDialog runId={act.runId} packId={act.packId} isOpen={open} onOpenChange={setOpen} />
        </>
      )
    case 'tires-on':
      return (
        <>
          {dialogButton('They are on', may('meeting', 'runs', act.runId, 'tiresOn'))}
          <TiresOnDialog runId={act.runId} tireSetId={act.tireSetId} isOpen={open} onOpenChange={setOpen} />
        </>
      )
    case 'choose-pack':
      return (
        <>
          {dialogButton(
            'Choose',
            act.runIds.some((id) => may('meeting', 'runs', id, 'packId')),
          )}
          {/* Mounted while it is open: it would look through the kit with every change of the board. */}
          {open && <ChoosePack runIds={act.runIds} isOpen onOpenChange={setOpen} />}
        </>
      )
    case 'choose-tires':
      return (
        <>
          {dialogButton(
            'Choose',
            act.runIds.some((id) => may('meeting', 'runs', id, 'tireSetId')),
          )}
          {open && <ChooseTires runIds={act.runIds} isOpen onOpenChange={setOpen} />}
        </>
      )
    case 'stand-in':
      return (
        <>
          {dialogButton(
            'Find a stand-in',
            may('meeting', 'duties', joinId(act.heatId, act.owedBy), 'standInId'),
          )}
          <StandInDialog heatId={act.heatId} owedBy={act.owedBy} isOpen={open} onOpenChange={setOpen} />
        </>
      )
    default:
      return never(act)
  }
}
