import type { Chip } from './chip.ts';

/** Bytes that wait for the chip's receiver are dropped beyond this many, as a real line drops them. */
const WAITING_MAX = 4096;

/** Cycles after which a receiver that was off is tried again. */
const RETRY_CYCLES = 1000;

/** The chip's end of the serial line. */
export interface SerialLine {
  /** Bytes from the host; they go in one by one, at the line's rate. */
  send(bytes: Uint8Array): void;
}

/**
 * Connects the chip's USART. `onByte` gets each byte as the chip begins to send it; the emulator's receiver
 * holds one byte, so the next one goes in when it has taken the last.
 */
export function attachSerialLine(chip: Chip, onByte: (byte: number) => void): SerialLine {
  const { cpu, usart } = chip;
  let waiting: number[] = [];
  let at = 0;
  usart.onByteTransmit = onByte;
  const feed = (): void => {
    if (at >= waiting.length) {
      waiting = [];
      at = 0;
      return;
    }
    // False while the receiver is off, as it is for some cycles after power-on.
    if (usart.writeByte(waiting[at])) at += 1;
    else cpu.addClockEvent(feed, RETRY_CYCLES);
  };
  usart.onRxComplete = feed;
  return {
    send(bytes) {
      const idle = waiting.length === 0;
      if (waiting.length - at + bytes.length <= WAITING_MAX) waiting.push(...bytes);
      if (idle) feed();
    },
  };
}
