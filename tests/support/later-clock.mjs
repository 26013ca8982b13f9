// Preloaded into a server under test: its wall clock runs ahead by CLOCK_AHEAD_MS; on SIGUSR2 it jumps CLOCK_JUMP_MS ahead, on the next one back.
const ahead = Number(process.env['CLOCK_AHEAD_MS'] ?? 0)
const jump = Number(process.env['CLOCK_JUMP_MS'] ?? 0)
let jumped = false
const realNow = Date.now
Date.now = () => realNow() + ahead + (jumped ? jump : 0)
if (jump !== 0) process.on('SIGUSR2', () => void (jumped = !jumped))
