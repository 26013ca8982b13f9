// Bare websocket broadcast without any merging: what the machine can do at most, message by message. Not a sync server.
import { WebSocketServer } from 'ws'
const wss = new WebSocketServer({ host: '127.0.0.1', port: Number(process.env.PORT) })
wss.on('connection', (ws) =>
  ws.on('message', (m) => {
    for (const c of wss.clients) c.send(m)
  }),
)
