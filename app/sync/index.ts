/** The board in the browser, for screens. */
export * from './hooks'
export * from './saved-mark'
export { useNow, useServerClock } from '@/app/ui/clock-context'
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
export type { Present } from './presence'
