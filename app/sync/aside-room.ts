/**
 * What a device stores of another membership's rooms is set aside under names of their own until it is settled: what it holds beyond the
 * server's board becomes drafts, the rest is dropped. Nobody opens a room of such a name.
 */
export interface AsideRoom {
  /** Who had joined on this device then. */
  name: string
  room: string
}

const ASIDE = 'aside|'

export const isAside = (room: string): boolean => room.startsWith(ASIDE)
/** Two memberships one after the other have names of their own: their documents must not flow together. */
export const asideName = ({ deviceId, name }: { deviceId: string; name: string }, room: string): string =>
  `${ASIDE}${[deviceId, name].map(encodeURIComponent).join('|')}|${room}`

/** @returns null for a room that is nobody's past. */
export function parseAside(stored: string): AsideRoom | null {
  const [, , name, room] = isAside(stored) ? stored.split('|') : []
  return name === undefined || room === undefined ? null : { name: decodeURIComponent(name), room }
}
/** The same person's kit. */
export const kitBeside = (stored: string): string => [...stored.split('|').slice(0, -1), 'kit'].join('|')
