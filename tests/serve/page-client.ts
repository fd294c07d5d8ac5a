import { once } from 'node:events';
import WebSocket from 'ws';
import type { BridgeToPage, FromBridge, FromPage } from '../../bridge/serve/page-protocol.ts';

/** A page's end of the socket, without a page. Acknowledges only when told to, or always. */
export async function pageClient(
  port: number,
  options: {
    role?: string;
    origin?: string | null;
    host?: string;
    acks?: boolean;
    token?: string;
    address?: string;
  } = {},
) {
  const { address = '127.0.0.1' } = options;
  const origin = options.origin === undefined ? `http://${address}:${port}` : options.origin;
  const query = new URLSearchParams({ role: options.role ?? 'steer', token: options.token ?? '' });
  const socket = new WebSocket(`ws://${address}:${port}/live?${query}`, {
    ...(origin === null ? {} : { origin }),
    ...(options.host === undefined ? {} : { headers: { Host: options.host } }),
  });
  const heard: FromBridge[] = [];
  socket.on('error', () => {});
  socket.on('message', (data) => {
    const message: FromBridge = JSON.parse(data.toString());
    heard.push(message);
    if (options.acks && message.type === 'frame') send({ type: 'ack', frame: message.frame });
  });
  const send = (message: FromPage) => socket.send(JSON.stringify(message));
  await new Promise((resolve) => socket.once('open', resolve).once('close', resolve));
  return {
    socket,
    heard,
    send,
    frames: () => heard.filter((message): message is BridgeToPage['frame'] => message.type === 'frame'),
    /** What the bridge had sent before it answered a ping has come. */
    async hasHeardAll() {
      socket.ping();
      await once(socket, 'pong');
    },
    closed: () => (socket.readyState === socket.CLOSED ? Promise.resolve() : once(socket, 'close')),
  };
}
