import { chmodSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { outcomeOf, type Attack } from './attack'

/** Files and folders below `folder` that others on the machine may read or write. */
const openToOthers = (folder: string): string[] =>
  readdirSync(folder, { withFileTypes: true, recursive: true })
    .map((e) => join(e.parentPath, e.name))
    .filter((path) => statSync(path).mode & 0o077)
    .map((path) => `${path.slice(folder.length + 1)} ${(statSync(path).mode & 0o777).toString(8)}`)

const files: Attack = {
  rule: 'S1',
  title: 'Another user of the laptop finds no file of the board that they may read',
  short: true,
  async run(ground) {
    const server = await ground.server()
    await ground.crew(server)
    const fresh = openToOthers(server.dataFolder)
    await server.stop()
    // Whatever else lies in the folder is not touched: only the board’s own.
    for (const name of server.files().filter((n) => n.startsWith('board.db')))
      chmodSync(join(server.dataFolder, name), 0o644)
    await server.restart()
    const after = openToOthers(server.dataFolder)
    return outcomeOf([
      [fresh.length === 0, `open to others: ${fresh.join(', ') || 'none'}`],
      [after.length === 0, `of an earlier version’s, after a start: ${after.join(', ') || 'none'}`],
    ])
  },
}

const foreignNames: Attack = {
  rule: 'S1',
  title: 'A page under a foreign name that leads to the laptop is not answered, be it a .local one',
  short: true,
  async run(ground) {
    const server = await ground.server()
    const statuses: string[] = []
    let answered = 0
    for (const host of ['evil.local', 'evil.example', 'localhost.evil.local']) {
      const { status } = await ground.http(server, 'GET', '/api/session', { headers: { host } })
      statuses.push(`${host} ${status}`)
      if (status === 200) answered++
    }
    return outcomeOf([[answered === 0, statuses.join(', ')]])
  },
}

export const whoMayReadAttacks: readonly Attack[] = [files, foreignNames]
