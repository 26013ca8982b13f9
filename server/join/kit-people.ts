import { BoardReading, readField, writeField } from '@/lib/board'
import type { Role } from '@/lib/core/role'
import type { SyncServer } from '../sync/sync-surface'

/** The part of the sync server that joining needs. */
export type BoardEditor = Pick<SyncServer, 'editAsServer' | 'readRoom'>

export interface KitPerson {
  id: string
  name: string
  /** A person noted down on the board who never joined may have none yet. */
  role: Role | null
}

/** The people of the kit who are not removed. */
export const readKitPeople = (board: BoardEditor): Promise<KitPerson[]> =>
  board.readRoom('kit', (kit) => {
    const reading = new BoardReading({ kit, meeting: null })
    const people = reading.view().people.live
    reading.close()
    return people.map((p) => ({ id: p.id, name: p.name ?? '', role: p.role ?? null }))
  })

/** Put a person on the board, or bring name, role and removal up to date, and what belongs to it in other tables. */
export const writeKitPerson = (
  board: BoardEditor,
  id: string,
  fields: { name?: string; role?: Role; removed?: boolean },
  alongside?: () => void,
): Promise<void> =>
  board.editAsServer(
    'kit',
    (doc) => {
      for (const [field, value] of Object.entries(fields))
        // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- an optional field may be there and undefined
        if (value !== undefined && readField(doc, 'people', id, field) !== value)
          writeField(doc, 'people', id, field, value)
    },
    alongside,
  )
