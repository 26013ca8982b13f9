import { schemaVersion } from '@/lib/board'
import { PROTOCOL_VERSION, type BoardVersion } from '@/lib/sync/states'
import type { Outdated } from './sync-snapshot'

/**
 * [S21] What this page is behind; null where the server serves the same. A page and a server that have no build's name (development, servers of
 * before) are not compared by it.
 */
export function outdatedBy(
  { protocol, schema, build = '' }: BoardVersion,
  ownBuild: string,
): Outdated | null {
  const understands = protocol === PROTOCOL_VERSION && schema === schemaVersion()
  const isSame = understands && (build === '' || ownBuild === '' || build === ownBuild)
  return isSame ? null : { board: `${protocol} ${schema} ${build}`, understands }
}
