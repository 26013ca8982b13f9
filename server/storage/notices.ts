import { join } from 'node:path'
import { noticeSchema, type Notice } from '@/lib/sync/loss-notice'
import { DATABASE_FILE } from './database-file'
import { realFiles as files } from './files'

const fileOf = (dataFolder: string) => join(dataFolder, `${DATABASE_FILE}.notice.json`)

/** What people must be told about the board until it was read: null when there is nothing. */
export function readNotice(dataFolder: string): Notice | null {
  try {
    return noticeSchema.parse(JSON.parse(files.read(fileOf(dataFolder)).toString('utf8')))
  } catch {
    return null // none, which is the rule
  }
}

/** Beside what is still to be read already. */
export function addNotice(dataFolder: string, notice: Notice): void {
  const before = readNotice(dataFolder)
  const both: Notice = {
    at: notice.at,
    lines: [...(before?.lines ?? []), ...notice.lines],
    losses: [...(before?.losses ?? []), ...notice.losses],
  }
  const part = `${fileOf(dataFolder)}.part`
  files.write(part, JSON.stringify(both))
  files.sync(part)
  files.rename(part, fileOf(dataFolder))
  files.syncFolder(dataFolder)
}

export const clearNotice = (dataFolder: string): void => files.remove(fileOf(dataFolder))
