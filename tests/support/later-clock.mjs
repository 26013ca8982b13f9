// Preloaded into a server under test: its wall clock runs ahead by this many ms.
const ahead = Number(process.env['CLOCK_AHEAD_MS'] ?? 0)
const realNow = Date.now
Date.now = () => realNow() + ahead
