'use client'
import { proposeValue, showJson, splitId, type Setting } from '@/lib/board'
import { useNow, useShownBoard, useSyncClient, useSyncSnapshot } from '@/app/sync'
import type { Draft } from '@/app/sync/client-store'
import type { SyncClient } from '@/app/sync/sync-client'
import { fieldWords, valueWords } from '@/app/sync/field-words'
import { applyAgain, canApplyAgain, lostMeetings, makeMeetingAgain, mayMakeAgain } from './apply-again'
import { Button } from '@/app/ui/button'
import { CopyText } from '@/app/ui/copy-text'
import { whenText } from '@/app/ui/time-text'
import { useToasts } from '@/app/ui/toasts'

/** What the board did not take, kept until it is copied, proposed to somebody who may, or dropped. */
export function Drafts() {
  const { drafts } = useSyncSnapshot()
  if (drafts.length === 0) return null
  return (
    <div className="grid gap-2">
      <h3>Not on the board</h3>
      <LostMeetings drafts={drafts} />
      <ApplyAll drafts={drafts} />
      <ul className="grid gap-3">
        {drafts.map((d) => (
          <li key={d.id}>
            <DraftRow draft={d} />
          </li>
        ))}
      </ul>
    </div>
  )
}

/** What its writer wanted, in words that can be passed on. */
export function draftText({ room, words, rejection: { path, attempted } }: Draft): string {
  if (words !== undefined) return words
  if (path) return fieldWords({ room, doc: null, kit: null }, path, attempted ?? undefined)
  return showJson(attempted ?? undefined) || '(nothing)'
}

function DraftRow({ draft }: { draft: Draft }) {
  const client = useSyncClient()
  const now = useNow(60_000)
  const { rejection } = draft
  return (
    <div className="note note-hot grid gap-2">
      <p>
        <b>{rejection.reason}</b> <span className="small">{whenText(rejection.at, now)}</span>
      </p>
      {rejection.path && (
        <p className="small">The board has: {restoredText(draft)}. You wrote the value below.</p>
      )}
      <CopyText label="What you wrote" text={draftText(draft)} rows={2} />
      <div className="btn-row">
        <ProposeDraft draft={draft} />
        <ApplyAgain drafts={[draft]} label="Apply again" />
        <Button look="quiet" onPress={() => client?.dismissDraft(draft.id)}>
          Discard
        </Button>
      </div>
    </div>
  )
}

const restoredText = ({ room, rejection: { path, restored } }: Draft): string =>
  (path && restored !== null && valueWords({ room, doc: null, kit: null }, path, restored)) || 'nothing'

/** What edits need; null while no board is open. */
function useContext() {
  const board = useShownBoard()
  const { membership } = useSyncSnapshot()
  return board && membership.state === 'member' ? board.context(membership.session) : null
}

/** Meetings that the restored board does not have. */
function LostMeetings({ drafts }: { drafts: readonly Draft[] }) {
  const ctx = useContext()
  const client = useSyncClient()
  const toasts = useToasts()
  if (!ctx || !client) return null
  const lost = [...lostMeetings(ctx, drafts)]
  return lost.map(([room, meeting]) => {
    const make = async () => {
      const done = makeMeetingAgain(ctx, room, meeting)
      if (!done.ok) return toasts.refused(done.error)
      await apply(
        client,
        toasts,
        drafts.filter((d) => d.room === room),
      )
    }
    return (
      <div key={room} className="note grid gap-2">
        <p>
          <b>The restored board does not have the meeting {meeting.name ?? 'that these belong to'}.</b>{' '}
          {mayMakeAgain(ctx, room)
            ? 'Making it again brings back what you wrote in it. Everybody else can then apply their own changes.'
            : 'Once a manager makes it again, you can apply again what you wrote in it.'}
        </p>
        {mayMakeAgain(ctx, room) && <Button onPress={() => void make()}>Make the meeting again</Button>}
      </div>
    )
  })
}

function ApplyAll({ drafts }: { drafts: readonly Draft[] }) {
  const ctx = useContext()
  const fit = ctx ? drafts.filter((d) => canApplyAgain(ctx, d)) : []
  return fit.length > 1 ? <ApplyAgain drafts={fit} label={`Apply all ${fit.length} again`} /> : null
}

/** What a restored board lost can be written once more. */
function ApplyAgain({ drafts, label }: { drafts: readonly Draft[]; label: string }) {
  const client = useSyncClient()
  const toasts = useToasts()
  const ctx = useContext()
  if (!client || !ctx || !drafts.every((d) => canApplyAgain(ctx, d))) return null
  return <Button onPress={() => void apply(client, toasts, drafts)}>{label}</Button>
}

async function apply(client: SyncClient, toasts: ReturnType<typeof useToasts>, drafts: readonly Draft[]) {
  const { applied, refused } = await applyAgain(client, drafts)
  for (const d of applied) client.dismissDraft(d.id)
  if (refused) toasts.refused(refused)
  else if (applied.length > 0)
    toasts.say(applied.length === 1 ? 'Applied again' : `${applied.length} applied again`)
}

/** An assigned value that its writer may not assign can be proposed to somebody who may. */
function ProposeDraft({ draft }: { draft: Draft }) {
  const client = useSyncClient()
  const board = useShownBoard()
  const toasts = useToasts()
  const { membership } = useSyncSnapshot()
  const { path, attempted } = draft.rejection
  const value = settingOf(attempted)
  if (path?.collection !== 'cardValues' || path.field !== 'assigned' || value === null) return null
  if (!board?.meeting || draft.room !== board.meeting.room || membership.state !== 'member') return null
  const [carId, parameterId] = splitId(path.recordId)
  const propose = () => {
    const done = proposeValue(board.context(membership.session), {
      carId,
      parameterId,
      value,
      why: 'Tried to assign it myself',
    })
    if (!done.ok) return toasts.refused(done.error)
    toasts.say('Proposed')
    client?.dismissDraft(draft.id)
  }
  return <Button onPress={propose}>Propose it</Button>
}

function settingOf(attempted: Draft['rejection']['attempted']): Setting | null {
  if (attempted === null || typeof attempted !== 'object' || Array.isArray(attempted)) return null
  const v = attempted['v']
  return typeof v === 'number' || typeof v === 'string' || typeof v === 'boolean' ? v : null
}
