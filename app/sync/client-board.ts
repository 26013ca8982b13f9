import * as Y from 'yjs'
import {
  type EditOrigin,
  BoardReading,
  UndoStack,
  type BoardDocs,
  type BoardView,
  type EditContext,
  type FieldWrite,
} from '@/lib/board'
import type { Clock } from '@/lib/core/clock'
import { refuse, type Result } from '@/lib/core/result'
import { BoardGraph } from '@/lib/derived'
import type { BoardUpdate } from './board-mirror'
import type { ActiveSession } from './client-store'
import type { RoomClient } from './room-client'

/** The board as one screen sees it: the kit's document, a meeting's when one is open, a stable view over both, and undo. */
export class ClientBoard {
  readonly kit: RoomClient
  readonly meeting: RoomClient | null
  readonly #reading: BoardReading
  readonly #undo = new UndoStack()
  readonly #clock: Clock
  readonly #listeners = new Set<() => void>()
  #scheduled = false
  #closed = false
  readonly #unobserve: () => void
  #graph: BoardGraph | null = null
  #context: { session: ActiveSession; value: EditContext } | null = null

  /** @param beside is open for longer, with the same kit. */
  constructor(kit: RoomClient, meeting: RoomClient | null, clock: Clock, beside: ClientBoard | null = null) {
    this.kit = kit
    this.meeting = meeting
    this.#clock = clock
    this.#reading = new BoardReading(
      { kit: kit.doc, meeting: meeting?.doc ?? null },
      beside && beside.#reading,
    )
    // For whoever listens to `update` Yjs writes the update anew, also of what a device's own store brings.
    const changed = ({ changed: types }: Y.Transaction) => types.size > 0 && this.#changed()
    kit.doc.on('afterTransaction', changed)
    meeting?.doc.on('afterTransaction', changed)
    this.#unobserve = () => {
      kit.doc.off('afterTransaction', changed)
      meeting?.doc.off('afterTransaction', changed)
    }
  }

  /** Many updates of one turn make one new view. */
  #changed() {
    if (this.#scheduled) return
    this.#scheduled = true
    queueMicrotask(() => {
      this.#scheduled = false
      this.#graph?.refresh()
      this.#listeners.forEach((l) => l())
    })
  }

  /** The same object until something changed. */
  readonly view = (): BoardView => this.#reading.view()

  /** What is derived from the board, kept up with it. Whoever watches must see to it that time passes too (`BoardGraph.refresh`). */
  get graph(): BoardGraph {
    return (this.#graph ??= new BoardGraph(this.view, this.#clock))
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  /** What an edit needs, as the person of the session. Stable while the session is. */
  context(session: ActiveSession): EditContext {
    if (this.#context?.session !== session)
      this.#context = {
        session,
        value: {
          docs: this.#docs(),
          actor: { personId: session.personId, role: session.role },
          clock: this.#clock,
          onEdit: (origin) => this.#undo.push(origin),
        },
      }
    return this.#context.value
  }

  /** A meeting that was left takes no edit any more: its document may be closed, and what is written there goes nowhere. */
  #docs(): BoardDocs {
    const doc = this.meeting?.doc ?? null
    const isClosed = () => this.#closed
    return {
      kit: this.kit.doc,
      get meeting() {
        return isClosed() ? null : doc
      },
    }
  }

  /** Tell everything that is on the board, and from then on every change of it, as updates for a `BoardMirror`. Returns the way to stop. */
  follow(tell: (update: BoardUpdate) => void): () => void {
    const stops = (['kit', 'meeting'] as const).map((kind) => {
      const doc = this.roomOf(kind)?.doc
      if (!doc) return () => undefined
      const on = (update: Uint8Array) => tell({ doc: kind, update })
      on(Y.encodeStateAsUpdate(doc))
      doc.on('update', on)
      return () => doc.off('update', on)
    })
    return () => stops.forEach((stop) => stop())
  }

  get canUndo(): boolean {
    return this.#undo.next !== undefined
  }
  /** The edit that an undo would take back. */
  get nextUndo(): EditOrigin | undefined {
    return this.#undo.next
  }
  undo(session: ActiveSession): Result<{ edit: string; leftAlone: FieldWrite[] }> {
    if (this.#closed && this.meeting)
      return refuse('Undo', '', 'its page was closed', 'Open the meeting again and change it there.')
    return this.#undo.undo(this.context(session))
  }

  roomOf(doc: 'kit' | 'meeting'): RoomClient | null {
    return doc === 'kit' ? this.kit : this.meeting
  }

  close(): void {
    this.#closed = true
    this.#unobserve()
    this.#listeners.clear()
    this.#reading.close()
  }
}
