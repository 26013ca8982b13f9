'use client'
import { proposeValue, showJson, splitId, type Setting } from '@/lib/board'
import { useNow, useShownBoard, useSyncClient, useSyncSnapshot } from '../../sync'
import type { Draft } from '../../sync/client-store'
import { fieldWords, valueWords } from '../../sync/field-words'
import { applyAgain, canApplyAgain } from './apply-again'
import { Button } from '../button'
import { CopyText } from '../copy-text'
import { whenText } from '../time-text'
import { useToasts } from '../toasts'

/** What the board did not take, kept until it is copied, proposed to somebody who may, or dropped. */
export function Drafts() {
  const { drafts } = useSyncSnapshot()
  if (drafts.length === 0) return null
  return (
    <div className="grid gap-2">
      <h3>Not on the board</h3>
      {drafts.length > 1 && <ApplyAgain drafts={drafts} label={`Apply all ${drafts.length} again`} />}
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
          Drop it
        </Button>
      </div>
    </div>
  )
}

const restoredText = ({ room, rejection: { path, restored } }: Draft): string =>
  (path && restored !== null && valueWords({ room, doc: null, kit: null }, path, restored)) || 'nothing'

/** What a restored board lost can be written once more. */
function ApplyAgain({ drafts, label }: { drafts: readonly Draft[]; label: string }) {
  const client = useSyncClient()
  const board = useShownBoard()
  const toasts = useToasts()
  const { membership } = useSyncSnapshot()
  if (!board || membership.state !== 'member') return null
  const ctx = board.context(membership.session)
  const open = { kit: board.kit.room, meeting: board.meeting?.room ?? null }
  const fit = drafts.filter((d) => canApplyAgain(ctx, d, open))
  if (fit.length !== drafts.length) return null
  const apply = () => {
    const done = applyAgain(ctx, fit, open)
    if (!done.ok) return toasts.refused(done.error)
    toasts.say('Applied again')
    for (const d of fit) client?.dismissDraft(d.id)
  }
  return <Button onPress={apply}>{label}</Button>
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
