'use client'
import { useRouter } from 'next/navigation'
import { useCallback, useEffect, useMemo, useRef, useSyncExternalStore } from 'react'
import { mayWriteOn, type BoardView, type DocKind, type EditContext } from '@/lib/board'
import type { Result } from '@/lib/core/result'
import type { Board } from '@/lib/derived'
import type { ChangeSaid } from '@/app/ui/toast-store'
import { useToasts } from '@/app/ui/toasts'
import type { ActiveSession } from './client-store'
import { fieldKey, type Mark } from './pending-keys'
import { LOOKING_FIELD, presentPeople, type Looking, type Present } from './presence'
import { useClientBoard, useOpenBoard, useSyncClient, useSyncPart } from './sync-context'
import { whyNotSaving } from './sync-snapshot'

/** The board as validated plain records; a new object after each change, in which untouched records keep their identity. */
export function useBoard(): BoardView {
  const board = useClientBoard()
  return useSyncExternalStore(board.subscribe, board.view, board.view)
}

/**
 * A fact of the board (`lib/derived`), or any question about it: renders only when the answer says something else. A question that is written in place
 * is asked anew with each rendering; a fact is shared with whoever else asks for it.
 *
 * @example const facts = useDerived(factsNow, runId); const name = useDerived((board) => board.cars.get(carId)?.name)
 */
export function useDerived<K extends readonly string[], T>(
  fact: (board: Board, ...key: K) => T,
  ...key: K
): T {
  const { graph } = useClientBoard()
  const ids = key.join('\n')
  const { length } = key
  const cell = useMemo(
    () => graph.cell((board) => fact(board, ...((length === 0 ? [] : ids.split('\n')) as unknown as K))),
    [graph, fact, ids, length],
  )
  return useSyncExternalStore(cell.subscribe, cell.read, cell.read)
}

/** For whoever acts: one answer from the board as it is now, without watching it. Stable. */
export function useAsk(): <T>(question: (board: Board) => T) => T {
  const { graph } = useClientBoard()
  return useCallback(
    (question) => {
      graph.refresh()
      return graph.ask(question)
    },
    [graph],
  )
}

/** Who we are. @throws outside the session gate. */
export function useSession(): ActiveSession {
  const membership = useSyncPart((s) => s.membership)
  if (membership.state !== 'member') throw new Error('This screen needs a session')
  return membership.session
}

/** People by name. */
export function useNameOf(): (personId: string | null | undefined) => string {
  const people = useDerived(everybody)
  return useCallback((id) => people.get(id ?? '')?.name ?? (id ? 'somebody' : 'nobody'), [people])
}
const everybody = ({ people }: Board) => people.all

/** For `canWrite` and for edits made by hand; most screens want `useAct`. */
export function useEditContext(): EditContext {
  const board = useClientBoard()
  return board.context(useSession())
}

/** May this person write this field? Grey out by it, and say who may. */
export function useMay(doc: DocKind, collection: string, recordId: string, field: string): boolean {
  const { actor } = useEditContext()
  return useDerived(
    useCallback(
      (board: Board) => mayWriteOn(board, actor, { doc, collection, recordId, field }),
      [actor, doc, collection, recordId, field],
    ),
  )
}

/**
 * Take an edit's outcome: offers to undo what was done (`said`, in the past tense: “Pinion 23 fitted”), shows a refusal. True when it was done.
 */
export function useSettle(): (result: Result<unknown>, said?: string | ChangeSaid) => boolean {
  const undoNewest = useUndo()
  const board = useClientBoard()
  const toasts = useToasts()
  const client = useSyncClient()
  return useCallback(
    (result, said) => {
      const isSaving = !client || whyNotSaving(client.snapshot()) === null
      if (!result.ok) toasts.refused(result.error)
      // The banner may have scrolled away: nobody shall take for saved what isn't.
      else if (said) {
        const mine = board.nextUndo
        // Done since without a word: the offer was for something else.
        const undo = () =>
          board.nextUndo === mine ? undoNewest() : toasts.say('Changed since then. See Undo in the commands')
        const where = isSaving ? '' : ', on this phone only'
        toasts.offerUndo(typeof said === 'string' ? said + where : { ...said, to: said.to + where }, undo)
      }
      return result.ok
    },
    [toasts, undoNewest, client, board],
  )
}

export type Act = <T>(
  edit: (ctx: EditContext, view: BoardView) => Result<T>,
  said?: string | ChangeSaid,
) => Result<T>

/**
 * Do a named edit. A refusal is shown and returned. `said` tells in the past tense what was done (“Pinion 23 fitted”) and offers to undo it.
 *
 * @example const act = useAct(); act((ctx, view) => fitValue(ctx, view, { carId, parameterId, value }), 'Pinion 23 fitted')
 */
export function useAct(): Act {
  const board = useClientBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  return useCallback(
    (edit, said) => {
      const done = edit(ctx, board.view())
      settle(done, said)
      return done
    },
    [board, ctx, settle],
  )
}

/**
 * Leave the page after an act: goes on when this device has stored the edits made so far. A page may be loaded anew on the way (offline, or after an
 * upgrade), and what only its memory held would be gone.
 */
export function useGoOn(): (href: string, how?: 'push' | 'replace') => void {
  const client = useSyncClient()
  const router = useRouter()
  return useCallback(
    (href, how = 'push') => void (client?.stored() ?? Promise.resolve()).then(() => router[how](href)),
    [client, router],
  )
}

/** Take back the latest edit of this device on this board; fields that somebody changed since are left alone and named. */
export function useUndo(): () => void {
  const board = useClientBoard()
  const session = useSession()
  const toasts = useToasts()
  return useCallback(() => {
    const done = board.undo(session)
    if (!done.ok) toasts.refused(done.error)
    else if (done.value.leftAlone.length)
      toasts.say(`Undone, except ${done.value.leftAlone.length} that somebody changed since`)
    else toasts.say('Undone')
  }, [board, session, toasts])
}

/** Where a value stands: only on this phone, or saved on the server. Of several fields the least safe one counts. */
export function useMark(
  doc: DocKind,
  collection: string,
  recordId: string,
  field: string | readonly string[],
): Mark {
  const room = useClientBoard().roomOf(doc)
  const keys = (typeof field === 'string' ? [field] : field).map((f) => fieldKey(collection, recordId, f))
  const subscribe = useCallback(
    (listener: () => void) => room?.subscribe(listener) ?? (() => undefined),
    [room],
  )
  const mark = (): Mark => (keys.some((k) => room?.markOf(k) === 'phone') ? 'phone' : 'saved')
  return useSyncExternalStore(subscribe, mark, mark)
}

const NOBODY: readonly Present[] = []

/** Everybody who has this board open, oneself included. */
export function usePresence(): readonly Present[] {
  const board = useOpenBoard()
  const me = useSyncPart((s) => (s.membership.state === 'member' ? s.membership.session : null))
  const awareness = (board?.meeting ?? board?.kit)?.awareness ?? null
  const connection = useSyncPart(({ kit, meeting }) => (meeting ?? kit)?.connection)
  const cache = useRef<{ text: string; people: readonly Present[] }>({ text: '', people: NOBODY })
  const subscribe = useCallback(
    (listener: () => void) => {
      awareness?.on('change', listener)
      return () => awareness?.off('change', listener)
    },
    [awareness],
  )
  return useSyncExternalStore(
    subscribe,
    () => {
      if (!awareness || connection !== 'live') return NOBODY
      const people = presentPeople(awareness, me)
      const text = JSON.stringify(people)
      if (text !== cache.current.text) cache.current = { text, people }
      return cache.current.people
    },
    () => NOBODY,
  )
}

/** Tell the others what this screen has in front of it, while it is mounted. */
export function useLooking(looking: Looking): void {
  const board = useOpenBoard()
  const awareness = (board?.meeting ?? board?.kit)?.awareness ?? null
  const connection = useSyncPart(({ kit, meeting }) => (meeting ?? kit)?.connection)
  const text = JSON.stringify(looking)
  useEffect(() => {
    if (!awareness) return
    awareness.setLocalStateField(LOOKING_FIELD, JSON.parse(text))
    return () => awareness.setLocalStateField(LOOKING_FIELD, {})
  }, [awareness, text, connection])
}

/** People other than oneself who look at a car right now, each once. */
export function useOthersAt(carId: string): readonly Present[] {
  const people = usePresence()
  const { deviceId } = useSession()
  return useMemo(() => {
    const others = people.filter((p) => p.looking.carId === carId && p.deviceId !== deviceId)
    return [...new Map(others.map((p) => [p.personId, p])).values()]
  }, [people, carId, deviceId])
}
