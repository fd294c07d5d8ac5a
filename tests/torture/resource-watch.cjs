// Loaded before the bridge (`node --expose-gc --require`): writes down what it holds, every second, after a collection.
const { appendFileSync, readdirSync } = require('node:fs');

setInterval(() => {
  globalThis.gc();
  const kinds = process.getActiveResourcesInfo();
  const held = {
    heapMb: process.memoryUsage().heapUsed / 2 ** 20,
    rssMb: process.memoryUsage().rss / 2 ** 20,
    timers: kinds.filter((kind) => kind === 'Timeout' || kind === 'Immediate').length,
    handles: readdirSync('/proc/self/fd').length,
  };
  appendFileSync(process.env.TENWIRE_HELD, `${JSON.stringify(held)}\n`);
}, 1000).unref();
