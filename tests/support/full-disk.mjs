// Preloaded into a server under test: while the file named by DISK_FULL_WHILE exists, its database can't write, as on a full disk. SQLite
// notices when a transaction's pages go to the log, which is at COMMIT; what the transaction did is rolled back for real.
import { existsSync } from 'node:fs'
import Database from 'better-sqlite3'

const flag = process.env['DISK_FULL_WHILE'] ?? ''
const isFull = () => existsSync(flag)
const memory = new Database(':memory:')
const statement = Object.getPrototypeOf(memory.prepare('SELECT 1'))
memory.close()

/** Connections whose open transaction has something to write. */
const wrote = new WeakSet()
const isControl = /^\s*(BEGIN|COMMIT|ROLLBACK)/i

for (const method of ['run', 'get', 'all']) {
  const original = statement[method]
  statement[method] = function (...args) {
    const { database, source } = this
    const [, control] = isControl.exec(source) ?? []
    const writes = control === undefined ? !this.readonly : /COMMIT/i.test(control) && wrote.has(database)
    if (writes && (control !== undefined || !database.inTransaction) && isFull())
      throw new Database.SqliteError('database or disk is full', 'SQLITE_FULL')
    const result = original.apply(this, args)
    if (control !== undefined) wrote.delete(database)
    else if (writes) wrote.add(database)
    return result
  }
}
