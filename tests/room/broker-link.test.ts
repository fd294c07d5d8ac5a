import { createServer, type Socket } from 'node:net';
import { describe, expect, it } from 'vitest';
import { BrokerLink } from '../../bridge/room/broker-link.ts';
import { until } from '../until.ts';

/** CONNACK and SUBACK of MQTT 3.1.1, by hand: a broker that lets everybody in and acknowledges nothing that is published. */
function silentBroker(): Promise<{ port: number; published: () => number; close: () => void }> {
  const sockets = new Set<Socket>();
  let published = 0;
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => {});
    socket.on('data', (bytes) => {
      const kind = bytes[0] >> 4;
      if (kind === 1) socket.write(Buffer.from([0x20, 2, 0, 0]));
      else if (kind === 8) socket.write(Buffer.from([0x90, 3, bytes[2], bytes[3], 1]));
      else if (kind === 3) published += 1;
    });
  });
  return new Promise((open) => {
    server.listen(0, '127.0.0.1', () => {
      const close = () => {
        for (const socket of sockets) socket.destroy();
        server.close();
      };
      open({ port: (server.address() as { port: number }).port, published: () => published, close });
    });
  });
}

describe('a link to a broker', () => {
  it('ends though what it published is never acknowledged, as where the broker has just died', async () => {
    const broker = await silentBroker();
    const link = new BrokerLink({
      ...{ broker: `mqtt://127.0.0.1:${broker.port}`, ca: null, logins: [], hears: ['a'], refused: '' },
      will: { topic: 'b', payload: Buffer.from('gone') },
      heard: () => {},
      turned: () => {},
      trouble: () => {},
    });
    await until(() => link.isUp, 'the link');
    link.publish('a', 'x');
    await until(() => broker.published() > 0, 'what was published');
    let isClosed = false;
    void link.close().then(() => {
      isClosed = true;
    });
    await until(() => isClosed, 'the link closed', 30_000);
    expect(link.isUp).toBe(false);
    broker.close();
  });
});
