import type { Json } from '../core/json'
import type { BoardView } from '../board/board-view'
import type { Entry, Heat } from '../board/collections'
import { nameKey } from '../board/fold-name'
import type { PlannedWrite } from './import-plan'
import type { ListedEntry, ListedHeat } from './running-order'
import { stableId } from './stable-id'

/** Collects the fields that an import would write: only those that differ from the board. A blank in the file empties nothing. */
export class PlanWriter {
  readonly writes: PlannedWrite[] = []
  readonly #view: BoardView
  readonly #entryIds = new Set<string>()
  #rounds = 0
  #classes = 0

  constructor(view: BoardView) {
    this.#view = view
  }

  put(
    collection: PlannedWrite['collection'],
    recordId: string,
    fields: Record<string, Json | undefined>,
  ): void {
    const record = this.#view[collection].get(recordId) as Record<string, unknown> | undefined
    for (const [field, value] of Object.entries(fields)) {
      if (value === undefined) continue
      const was = record?.[field] ?? null
      if (JSON.stringify(was) !== JSON.stringify(value))
        this.writes.push({ collection, recordId, field, value })
    }
  }

  heat(
    heatId: string,
    roundId: string,
    classId: string | null,
    listed: ListedHeat,
    order: number | undefined,
    was: Heat | undefined,
  ): void {
    this.put('heats', heatId, {
      roundId,
      classId: classId ?? undefined,
      number: listed.isBreak ? undefined : listed.number,
      label: listed.label === '' ? undefined : listed.label,
      plannedStart: listed.plannedStart ?? undefined,
      // Without a time, the place that the heat already has in the list is as good as the file's.
      order: listed.plannedStart === null && was ? undefined : order,
      isBreak: listed.isBreak ? true : undefined,
      removed: was?.removed ? null : undefined,
    })
  }

  entry(
    entryId: string,
    heatId: string,
    listed: ListedEntry,
    carId: string | null,
    was: Entry | undefined,
  ): void {
    this.#entryIds.add(entryId)
    this.put('entries', entryId, {
      heatId,
      driverName: listed.driverName === '' ? undefined : listed.driverName,
      carNumber: listed.carNumber === '' ? undefined : listed.carNumber,
      transponder: listed.transponder === '' ? undefined : listed.transponder,
      gridPosition: listed.gridPosition ?? undefined,
      carId: carId ?? (was?.carId ? null : undefined),
      removed: was?.removed ? null : undefined,
    })
  }

  /** An id for a new entry that neither the board nor this import uses. */
  freeEntryId(heatId: string, listed: ListedEntry): string {
    const name = nameKey(listed.driverName) || listed.transponder
    for (let n = 0; ; n++) {
      const id = stableId('entry', heatId, name, String(n))
      if (!this.#view.entries.get(id) && !this.#entryIds.has(id)) return id
    }
  }

  nextRoundOrder(): number {
    this.#rounds += 1
    return Math.max(0, ...this.#view.rounds.live.map((r) => r.order ?? 0)) + this.#rounds
  }
  nextClassOrder(): number {
    this.#classes += 1
    return Math.max(0, ...this.#view.classes.live.map((c) => c.order ?? 0)) + this.#classes
  }
}
