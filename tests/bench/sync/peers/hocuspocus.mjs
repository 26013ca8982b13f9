import { Server } from '@hocuspocus/server'
const extensions = []
if (process.env.DB) {
  const { SQLite } = await import('@hocuspocus/extension-sqlite')
  extensions.push(new SQLite({ database: process.env.DB }))
}
const port = Number(process.env.PORT)
await new Server({ quiet: true, stopOnSignals: false, address: '127.0.0.1', port, extensions }).listen()
