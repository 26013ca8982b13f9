/** The board in the browser, for screens. */
export * from './hooks'
export {
  MeetingRoot,
  ShownBoard,
  SyncRoot,
  useClientBoard,
  useOpenBoard,
  useShownBoard,
  useSyncClient,
  useSyncPart,
  useSyncSnapshot,
} from './sync-context'
export type { Mark } from './pending-keys'
export type { Looking, Present } from './presence'
