// Loaded before the bridge (`node --require`): keeps a copy of all bytes that the kernel gave it from its ports, a file an
// opening, and steps the computer's clock to and fro as a user or a time server might.
const { appendFileSync } = require('node:fs');
const { join } = require('node:path');
const { LinuxPortBinding } = require('@serialport/bindings-cpp');

const openings = new Map();
const { read } = LinuxPortBinding.prototype;
LinuxPortBinding.prototype.read = async function (buffer, offset, length) {
  const got = await read.call(this, buffer, offset, length);
  if (!openings.has(this)) openings.set(this, `${String(openings.size).padStart(6, '0')}.bytes`);
  const bytes = buffer.subarray(offset, offset + got.bytesRead);
  appendFileSync(join(process.env.TENWIRE_TAP, openings.get(this)), bytes);
  return got;
};

const STEPS_MS = [0, 3_600_000, -86_400_000, 1_000, -500, 31_536_000_000];
const RealDate = Date;
let step = 0;
const now = () => RealDate.now() + STEPS_MS[step % STEPS_MS.length];
globalThis.Date = class extends RealDate {
  constructor(...given) {
    if (given.length === 0) super(now());
    else super(...given);
  }
  static now() {
    return now();
  }
};
setInterval(() => {
  step += 1;
}, 1500).unref();
