import type { Buffer } from 'node:buffer';
import { randomBytes } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import { connect, type MqttClient } from 'mqtt';

/** One client of a broker: comes back by itself, and keeps nothing for later while it is away. */

export interface LinkLogin {
  user: string;
  password: string;
}

export interface LinkOptions {
  /** `mqtt://host:port` or `mqtts://host:port`. */
  broker: string;
  ca: Buffer | null;
  /** Tried in turn, each time that the broker refuses the one before; empty: none is shown. */
  logins: readonly LinkLogin[];
  hears: readonly string[];
  /** What the broker publishes, retained, when this client vanishes. */
  will: { topic: string; payload: Buffer };
  /** `retained`: it was said before this client came. */
  heard: (topic: string, payload: Buffer, retained: boolean) => void;
  /** True once all that it listens to is subscribed; false when the broker is away. */
  turned: (up: boolean) => void;
  /** What is said where the broker refuses every login. */
  refused: string;
  /** Why it is not let in, or can't get there. */
  trouble: (text: string) => void;
}

const RETRY_MS = 1000;
const CONNECT_MS = 10_000;
/** A broker that says nothing for one and a half times as long is given up. */
const KEEP_ALIVE_S = 15;
/** CONNACK: bad user name or password, not authorized (MQTT 3.1.1, table 3.1). */
const REFUSED = [4, 5];
const QOS = 1;
const LAST_WORDS_MS = 2000;
const LOOK_MS = 20;

export class BrokerLink {
  readonly #options: LinkOptions;
  readonly #client: MqttClient;
  #login = 0;
  #isUp = false;
  /** What was published and not acknowledged yet. */
  #unanswered = 0;

  constructor(options: LinkOptions) {
    this.#options = options;
    const { broker, ca, will } = options;
    this.#client = connect(broker, {
      clientId: `tenwire-${randomBytes(7).toString('hex')}`,
      protocolVersion: 4,
      clean: true,
      keepalive: KEEP_ALIVE_S,
      reconnectPeriod: RETRY_MS,
      reconnectOnConnackError: true,
      connectTimeout: CONNECT_MS,
      resubscribe: false,
      queueQoSZero: false,
      ...(ca === null ? {} : { ca }),
      ...this.#credentials(),
      will: { ...will, qos: QOS, retain: true },
    });
    this.#client.on('connect', () => this.#subscribe());
    this.#client.on('message', (topic, payload, { retain }) => options.heard(topic, payload, retain));
    this.#client.on('close', () => this.#turn(false));
    this.#client.on('error', (error) => this.#fail(error));
  }

  get isUp(): boolean {
    return this.#isUp;
  }

  /** At least once, in order. What can't be sent now is not sent: whoever has it sends it anew once the link is up. */
  publish(topic: string, payload: Buffer | string, { retain = false } = {}): void {
    if (!this.#client.connected) return;
    this.#unanswered += 1;
    this.#client.publish(topic, payload, { qos: QOS, retain }, () => {
      this.#unanswered -= 1;
    });
  }

  /** Sends what is under way, if the broker takes it, and goes without the last will being published. */
  async close(): Promise<void> {
    this.#isUp = false;
    const isUnderWay = () => this.#client.connected && this.#unanswered > 0;
    for (let waited = 0; isUnderWay() && waited < LAST_WORDS_MS; waited += LOOK_MS) await sleep(LOOK_MS);
    // The client itself would wait for ever for what a broker that has just died never acknowledges.
    const isBroken = !this.#client.connected || this.#unanswered > 0;
    await Promise.race([this.#client.endAsync(isBroken), sleep(LAST_WORDS_MS, undefined, { ref: false })]);
  }

  #credentials(): { username?: string; password?: string } {
    const { logins } = this.#options;
    if (logins.length === 0) return {};
    const { user, password } = logins[this.#login % logins.length];
    return { username: user, password };
  }

  #subscribe(): void {
    this.#client.subscribe([...this.#options.hears], { qos: QOS }, (error, granted = []) => {
      const refused = granted.find(({ qos }) => qos > 2);
      if (refused !== undefined) this.#options.trouble(`the broker does not let it read ${refused.topic}`);
      if (error === null && refused === undefined) this.#turn(true);
    });
  }

  #turn(up: boolean): void {
    if (up === this.#isUp) return;
    this.#isUp = up;
    this.#options.turned(up);
  }

  #fail(error: Error & { code?: number | string }): void {
    if (!REFUSED.includes(Number(error.code))) {
      this.#options.trouble(error.message || String(error.code));
      return;
    }
    this.#login += 1;
    Object.assign(this.#client.options, this.#credentials());
    if (this.#login >= this.#options.logins.length) this.#options.trouble(this.#options.refused);
  }
}
