// Preloaded into the server under fuzz: on SIGUSR2 its wall clock jumps by up to 50 minutes, forwards or back.
let offset = 0
let state = 12345
const realNow = Date.now
Date.now = () => realNow() + offset
process.on('SIGUSR2', () => {
  state = (state * 1103515245 + 12345) % 2147483648
  offset = Math.round((state / 2147483648 - 0.5) * 2 * 3_000_000)
})
