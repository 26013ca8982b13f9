import type * as Y from 'yjs'
import { z } from 'zod'
import { isRole, type Role } from '@/lib/core/role'
import { SettingsError } from './env'

/** What the demo brings: its boards, and whom its printed links join as. */
export interface Demo {
  seed(
    target: { editAsServer(room: string, edit: (doc: Y.Doc) => void): Promise<void> },
    now: number,
  ): Promise<{
    /** The day of the demo's meeting that was over, so that it was written anew, ms since the epoch; null when nothing was. */
    dayWas: number | null
  }>
  joiners: { role: Role; name: string }[]
}

const seedModule = z.object({
  seedDemo: z.custom<Demo['seed']>((f) => typeof f === 'function', 'is no function'),
})
const rosterModule = z.object({
  DEMO_PEOPLE: z.array(z.object({ id: z.string(), name: z.string(), role: z.custom<Role>(isRole) })),
  DEMO_LINKS: z.record(z.string(), z.string()),
})

/** Loads a part of the demo by its name. */
export type LoadDemoPart = (part: 'seed' | 'roster') => Promise<unknown>

/**
 * The demo is loaded when it is asked for, not imported: nothing else of the server rests on it, and a copy without the `demo` folder runs.
 * @throws SettingsError when it is not there.
 */
export async function loadDemo(load: LoadDemoPart): Promise<Demo> {
  try {
    const { seedDemo } = seedModule.parse(await load('seed'))
    const { DEMO_PEOPLE, DEMO_LINKS } = rosterModule.parse(await load('roster'))
    const ids = Object.values(DEMO_LINKS)
    return { seed: seedDemo, joiners: DEMO_PEOPLE.filter((p) => ids.includes(p.id)) }
  } catch (e) {
    throw new SettingsError(`The demo can’t be loaded: ${e instanceof Error ? e.message : String(e)}`)
  }
}
