import { join } from 'node:path'
import { z } from 'zod'
import { DATABASE_FILE } from './database-file'
import { realFiles as files } from './files'

const noticeSchema = z.strictObject({ at: z.number(), lines: z.array(z.string()) })
export type Notice = z.infer<typeof noticeSchema>

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
  const lines = [...(readNotice(dataFolder)?.lines ?? []), ...notice.lines]
  const part = `${fileOf(dataFolder)}.part`
  files.write(part, JSON.stringify({ at: notice.at, lines }))
  files.sync(part)
  files.rename(part, fileOf(dataFolder))
  files.syncFolder(dataFolder)
}

export const clearNotice = (dataFolder: string): void => files.remove(fileOf(dataFolder))
