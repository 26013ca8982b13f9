// The thread that speaks with PostgreSQL (see line.ts). One connection, one request after the other, each answered within its time.
import { parentPort, workerData } from 'node:worker_threads'
import pg from 'pg'

/** Times in ms. Whoever is paused inside a transaction loses it and its locks after IDLE_MS, by the engine itself. */
const { url, owner, state, writes, migrations, times, port } = workerData
const [ANSWERED, UP, TAKEN] = [0, 1, 2]
/** By the database's clock: those of two machines differ. */
const NOW = '(extract(epoch from clock_timestamp()) * 1000)::bigint'
const MOST_NAMES = 300
const RETRY_MS = 250

// Every number of ours is whole and below 2^53.
for (const oid of [pg.types.builtins.INT8, pg.types.builtins.NUMERIC]) pg.types.setTypeParser(oid, Number)

let client = null
let lost = 'there is no connection yet'
let isClosed = false
let isInTransaction = false
/** Transactions of this process so far, as its row in `writers` has it. */
let head = 0
/** A commit whose answer did not come: its number among such, and what `head` is if it took place. */
let unknown = null
let lostCommits = 0
/** What became of each. */
const outcomes = new Map()
let retry = null

class Down extends Error {}
/** The question belongs to a transaction that is gone; the connection that there is now has nothing to do with it. */
class Stale extends Down {}

const failure = (e) =>
  e instanceof Down || !e.code || /^(08|57P)/.test(e.code) || typeof e.severity !== 'string'
    ? { down: true, code: e.code ?? null, message: e.message }
    : { down: false, code: e.code, message: e.message }

/** Fails when `work` takes longer; its connection is then given up, so that nothing of it can come later. */
function within(ms, work) {
  let timer
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => {
      const e = new Down(`no answer within ${ms} ms`)
      hangUp(client, e.message)
      reject(e)
    }, ms)
  })
  return Promise.race([work, late]).finally(() => clearTimeout(timer))
}

function hangUp(which, why) {
  if (which === null || which !== client) return
  client = null
  isInTransaction = false
  lost = why
  Atomics.store(state, UP, 0)
  which.connection.stream.destroy()
  if (!isClosed) retry ??= setTimeout(again, RETRY_MS)
}

function again() {
  retry = null
  if (isClosed || client !== null) return
  connectOnce().catch((e) => {
    lost = e.message
    if (!isClosed) retry ??= setTimeout(again, RETRY_MS)
  })
}

let connecting = null
const connectOnce = () =>
  (connecting ??= connect().finally(() => {
    connecting = null
  }))

/** The database is not as this process left it: whatever is judged here is judged on what it no longer holds. */
function over(message) {
  isClosed = true
  hangUp(client, message)
  parentPort.postMessage({ over: message })
  return Object.assign(new Error(message), { refuses: 'went-back' })
}

const query = (sql, params = []) => {
  if (client === null) throw new Down(lost)
  if (params.length === 0) return client.query({ text: sql, rowMode: 'array' })
  return client.query({ text: sql, values: params, rowMode: 'array', name: nameOf(client, sql) })
}

/** Statements are planned once per connection; a list's length makes another statement, so that the names are limited. */
function nameOf(which, sql) {
  const { names } = which
  if (!names.has(sql) && names.size < MOST_NAMES) names.set(sql, `s${names.size}`)
  return names.get(sql)
}

async function connect() {
  const next = new pg.Client({
    connectionString: url,
    application_name: `stagecall ${owner}`,
    connectionTimeoutMillis: times.connect,
    keepAlive: true,
  })
  next.names = new Map()
  next.on('error', (e) => hangUp(next, e.message))
  next.on('end', () => hangUp(next, 'the connection was closed'))
  await next.connect()
  if (isClosed || client !== null) return void next.end()
  client = next
  try {
    await within(times.connect + times.statement, greet())
  } catch (e) {
    hangUp(next, e.message)
    throw e
  }
  Atomics.store(state, UP, 1)
}

/** Whatever the address says of them. */
const setTimes = ({ statement, lock, idle }) =>
  query(
    "SELECT set_config('statement_timeout', $1, false), set_config('lock_timeout', $2, false), set_config('idle_in_transaction_session_timeout', $3, false)",
    [statement, lock, idle].map(String),
  )

async function greet() {
  await setTimes(times)
  const [version, standby, fsync] = (
    await query(
      "SELECT current_setting('server_version_num')::int, pg_is_in_recovery(), current_setting('fsync')",
    )
  ).rows[0]
  if (version < 150000)
    throw Object.assign(new Error(`it is version ${version / 10000}`), { refuses: 'too-old' })
  if (standby) throw new Down('it is a standby, which takes no writes')
  if (fsync !== 'on') throw Object.assign(new Error('it runs with fsync = off'), { refuses: 'not-durable' })
  // "Saved" means at least this machine's disk, whatever the server's own setting is; more than that stays.
  await query(
    "SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') IN ('off', 'local', 'remote_write')",
  )
  if (writes) await query('SELECT pg_try_advisory_lock_shared(7483649, hashtext($1))', [owner])
  if (writes && head > 0) await findOut()
}

/** Our own row is locked by a transaction of ours that is still on its way: reading it so waits for its end. */
async function findOut() {
  const { rows } = await query('SELECT head FROM writers WHERE owner = $1 FOR UPDATE', [owner])
  const is = rows[0]?.[0]
  if (is === undefined) throw over('this process is no longer among the writers')
  if (is !== head && is !== unknown?.head) throw over(`it is at write ${is} of this process, not ${head}`)
  if (unknown !== null) {
    outcomes.set(unknown.id, is === unknown.head)
    unknown = null
  }
  head = is
}

/** Migrations name the schema in which tables are by default; a team's are in one of its own. */
function movedTo(connection, schema) {
  const moved = Object.create(connection)
  moved.query = (statement, ...rest) =>
    connection.query({ ...statement, text: statement.text.replaceAll('"public".', `"${schema}".`) }, ...rest)
  return moved
}

/** What it takes is loaded where it is needed: a process that takes many teams over opens one connection after the other, and everybody waits. */
async function bringUp(folder, schema) {
  const [{ drizzle }, { migrate }] = await Promise.all([
    import('drizzle-orm/node-postgres'),
    import('drizzle-orm/node-postgres/migrator'),
  ])
  await setTimes({ ...times, statement: times.open })
  await migrate(drizzle(schema === null ? client : movedTo(client, schema)), {
    migrationsFolder: folder,
    ...(schema !== null && { migrationsSchema: schema }),
  })
  await setTimes(times)
}

async function open() {
  await connect()
  if (!migrations) return
  await query('SELECT pg_advisory_lock(7483648)')
  try {
    const { folder, schema } = migrations
    const noted = `"${schema ?? 'drizzle'}".__drizzle_migrations`
    const { rows } = await query('SELECT to_regclass($1) IS NOT NULL', [noted])
    const applied = rows[0][0] ? (await query(`SELECT max(created_at) FROM ${noted}`)).rows[0][0] : null
    if (applied > migrations.newest)
      throw Object.assign(
        new Error(`it has migrations from ${new Date(applied).toISOString().slice(0, 10)}`),
        {
          refuses: 'too-new',
        },
      )
    if (applied !== migrations.newest) await bringUp(folder, schema)
  } finally {
    await query('SELECT pg_advisory_unlock(7483648)')
  }
  // Whoever is there says so again and again (see `renew`), by the same clock.
  await query(`DELETE FROM writers WHERE at < ${NOW} - 7 * 86400000::bigint`)
  await query(`INSERT INTO writers (owner, head, at) VALUES ($1, 1, ${NOW})`, [owner])
  head = 1
}

async function begin() {
  await query('BEGIN')
  isInTransaction = true
  try {
    const next = `UPDATE writers SET head = head + 1, at = ${NOW} WHERE owner = $1 AND head = $2`
    const { rowCount } = await query(next, [owner, head])
    if (rowCount !== 1) throw over(`its row of this process is gone, or not at write ${head}`)
  } catch (e) {
    await rollback().catch(() => undefined)
    throw e
  }
}

/** What is read from now on is of one moment. */
async function freeze() {
  await query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY')
  isInTransaction = true
  // Whoever takes an archive may be slow.
  await query('SET LOCAL idle_in_transaction_session_timeout = 0')
}

async function commit() {
  const hopes = head + 1
  if (!isInTransaction) throw new Stale(lost)
  isInTransaction = false
  const mine = { id: ++lostCommits, head: hopes }
  unknown = mine
  try {
    const { command } = await within(times.commit, query('COMMIT'))
    unknown = null
    // The engine answers the commit of a failed transaction with ROLLBACK.
    if (command !== 'COMMIT') throw new Error('the transaction had failed')
    head = hopes
    return { committed: true }
  } catch (e) {
    const until = Date.now() + times.findOut
    // Refused (a deferred check, a full disk), if the connection lives to say so: an engine that breaks down may say anything.
    if (unknown !== null && !failure(e).down) await within(times.findOut, findOut()).catch(() => undefined)
    // Nobody knows. It is looked up, now or when there is a connection again.
    while (unknown !== null && Date.now() < until && !isClosed) {
      const connected = client === null ? connectOnce().catch((e) => void (lost = e.message)) : pause(50)
      await Promise.race([connected, pause(until - Date.now())])
      if (unknown !== null) await pause(50)
    }
    if (unknown !== null) return { lost: mine.id }
    if (outcomes.get(mine.id)) return { committed: true }
    throw e
  }
}

async function rollback() {
  if (!isInTransaction) return
  isInTransaction = false
  await query('ROLLBACK')
}

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms))

/** One transaction in one request; a statement that touches other than `rows` rows takes all of it back. */
async function batch(statements) {
  const stopped = await within(times.statement, write(statements))
  return stopped ?? commit()
}

async function write(statements) {
  try {
    await begin()
    for (const [at, { sql, params, rows }] of statements.entries()) {
      const { rowCount } = await query(sql, params)
      if (rows === undefined || rowCount === rows) continue
      await rollback()
      return { stoppedAt: at }
    }
  } catch (e) {
    await rollback().catch(() => undefined)
    throw e
  }
  return null
}

const handlers = {
  open: () => within(times.open, open()),
  query: async ({ sql, params, inTransaction }) => {
    // On another connection it would be a transaction of its own.
    if (inTransaction && !isInTransaction) throw new Stale(lost)
    const { rows, rowCount, fields } = await within(times.statement + 500, query(sql, params))
    return { rows, count: rowCount ?? 0, names: fields?.map((f) => f.name) ?? [] }
  },
  begin: () => within(times.statement, begin()),
  freeze: () => within(times.statement, freeze()),
  commit,
  rollback: () => within(times.statement, rollback()),
  batch: ({ statements }) => batch(statements),
  /** What became of the commit whose answer was lost. */
  outcome: async ({ id }) => {
    if (unknown !== null || client === null) throw new Down(lost)
    return outcomes.get(id) === true
  },
  /** What may fail unheard; how many rows it touched is told when it is done. */
  aside: async ({ id, sql, params }) => {
    if (client === null) return
    const { rowCount } = await within(times.statement, query(sql, params))
    parentPort.postMessage({ aside: id, count: rowCount ?? 0 })
  },
  close: async () => {
    isClosed = true
    clearTimeout(retry)
    if (client === null) return
    const last = client
    if (isInTransaction) await within(times.statement, rollback()).catch(() => undefined)
    if (writes && unknown === null)
      for (const sql of [
        'UPDATE owners SET lease_until = 0 WHERE owner = $1',
        'DELETE FROM writers WHERE owner = $1',
      ])
        await within(times.statement, query(sql, [owner])).catch(() => undefined)
    await Promise.race([last.end(), new Promise((resolve) => setTimeout(resolve, 500))])
  },
}

/** Somebody waits for these. */
const questions = []
/** Nobody does for these: they come when there is nothing else to do, and never inside of a transaction. */
const asides = []
let isWorking = false
port.on('message', (request) => {
  if (request.n === undefined) asides.push(request)
  else questions.push(request)
  void work()
})

async function work() {
  if (isWorking) return
  isWorking = true
  for (;;) {
    const request = questions.shift() ?? (isInTransaction ? undefined : asides.shift())
    if (request === undefined) break
    await answer(request)
  }
  isWorking = false
}

async function answer(request) {
  if (request.n !== undefined) Atomics.store(state, TAKEN, request.n)
  let answer
  try {
    // Of a connection that is made anew nothing is asked before it is known what became of the last commit on the one before.
    if (request.n !== undefined && !['open', 'close'].includes(request.kind) && Atomics.load(state, UP) !== 1)
      throw new Stale(lost)
    answer = { ok: true, value: await handlers[request.kind](request) }
  } catch (e) {
    if (failure(e).down && !(e instanceof Stale)) hangUp(client, e.message)
    answer = { ok: false, refuses: e.refuses ?? null, ...failure(e) }
  }
  if (request.n === undefined) return
  port.postMessage({ n: request.n, ...answer })
  Atomics.store(state, ANSWERED, request.n)
  Atomics.notify(state, ANSWERED)
  if (request.kind === 'close') port.close()
}
