import { realTimers, type Timers } from '../sync/timers'
import { lockFolder, type FolderLock } from './folder-lock'

/** How often it is looked whether the folder is free, ms. */
const AGAIN_MS = 50

/** The same as `lockFolder` once whoever has the folder lets go of it; null where that takes longer than `patienceMs`. */
export async function awaitLock(
  folder: string,
  patienceMs: number,
  { steady, after }: Pick<Timers, 'steady' | 'after'> = realTimers,
): Promise<FolderLock | null> {
  for (const until = steady() + patienceMs; ;) {
    const lock = lockFolder(folder)
    if (lock || steady() > until) return lock
    await new Promise<void>((resolve) => void after(AGAIN_MS, resolve))
  }
}
