// The least that does what the bridge does with lines: serialport, readline, a file for each port, WebSockets whose clients
// acknowledge. `node bare-bridge.mjs FOLDER PORT...`; prints its HTTP port, then at each line on stdin how many lines it read.
import { createWriteStream } from 'node:fs';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { ReadlineParser } from '@serialport/parser-readline';
import { SerialPort } from 'serialport';
import { WebSocketServer } from 'ws';

const FRAME_MS = 8;
const FRAMES_UNDER_WAY = 2;

const [folder, ...paths] = process.argv.slice(2);
let lines = 0;
const boards = paths.map((path, index) => {
  const file = createWriteStream(join(folder, `bare-${index}.rec`));
  const clients = new Set();
  const parser = new SerialPort({ path, baudRate: 115_200 }).pipe(
    new ReadlineParser({ delimiter: '\n', encoding: 'latin1' }),
  );
  let records = '';
  parser.on('data', (line) => {
    lines += 1;
    // One write for all lines of a chunk.
    if (records === '')
      setImmediate(() => {
        file.write(records);
        records = '';
      });
    records += `${performance.now().toFixed(3)} < ${line}\n`;
    for (const client of clients) client.take(line);
  });
  return clients;
});

/** A client that is sent what came since its last frame, at most two frames before it acknowledges one. */
function clientOf(socket) {
  let waiting = [];
  let underWay = 0;
  let timer = null;
  const news = () => {
    if (timer !== null || underWay >= FRAMES_UNDER_WAY || waiting.length === 0) return;
    timer = setTimeout(() => {
      timer = null;
      socket.send(JSON.stringify(waiting));
      waiting = [];
      underWay += 1;
    }, FRAME_MS);
  };
  socket.on('message', () => {
    underWay -= 1;
    news();
  });
  return {
    take(line) {
      waiting.push(line);
      news();
    },
  };
}

const page = `<script>
const socket = new WebSocket('ws://' + location.host + '/0');
socket.onmessage = () => socket.send('taken');
</script>`;
const http = createServer((_, response) =>
  response.writeHead(200, { 'Content-Type': 'text/html' }).end(page),
);
new WebSocketServer({ server: http }).on('connection', (socket, { url }) => {
  const clients = boards[Number(url.slice(1))];
  const client = clientOf(socket);
  clients.add(client);
  socket.on('close', () => clients.delete(client));
});
http.listen(0, '127.0.0.1', () => console.log(http.address().port));
process.stdin.on('data', () => console.log(lines));
