import type { BoardView } from '@/lib/board'

/** All of the kit that runs are called by. */
export function namesOfKit(kit: BoardView): string {
  const of = (rows: Iterable<object>, ...fields: string[]) =>
    [...rows].map((r) => ['id', ...fields].map((f) => (r as Record<string, unknown>)[f]))
  return JSON.stringify([
    of(kit.cars.all.values(), 'name', 'driverId', 'drive'),
    of(kit.people.all.values(), 'name'),
    of(kit.packs.all.values(), 'label'),
    of(kit.tireSets.all.values(), 'label', 'compound', 'tread', 'insert'),
    of(kit.tracks.all.values(), 'name', 'surface'),
    of(kit.motors.all.values(), 'name'),
    of(kit.meetings.all.values(), 'name', 'startsAt', 'zone', 'trackId', 'removed'),
    of(kit.handlingWords.all.values(), 'name'),
    of(kit.controllerParameters.all.values(), 'label', 'unit'),
  ])
}
