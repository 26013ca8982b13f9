import { readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'

const runningSchema = z.object({ pid: z.int(), origins: z.array(z.string()) })
export type Running = z.infer<typeof runningSchema>

const fileOf = (dataFolder: string) => join(dataFolder, 'running.json')

/** Leave word for the admin command of where this server is reached. */
export const writeRunning = (dataFolder: string, running: Running): void =>
  writeFileSync(fileOf(dataFolder), JSON.stringify(running))

export const clearRunning = (dataFolder: string): void => rmSync(fileOf(dataFolder), { force: true })

/** What the last server wrote; it may be gone since (the folder's lock tells). Null when there is nothing usable. */
export function readRunning(dataFolder: string): Running | null {
  try {
    return runningSchema.parse(JSON.parse(readFileSync(fileOf(dataFolder), 'utf8')))
  } catch {
    return null // never started, or stopped in good order
  }
}
