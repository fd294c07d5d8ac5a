/** A serial port of this computer, as far as the system tells. */
export interface PortListing {
  path: string;
  manufacturer?: string;
  serialNumber?: string;
  vendorId?: string;
  productId?: string;
}

export type ListPorts = () => Promise<PortListing[]>;

/** The serial ports there are; empty where the system can't tell. Pseudo-terminals are never listed. */
export const listPorts: ListPorts = async () => {
  try {
    const { SerialPort } = await import('serialport');
    const ports = await SerialPort.list();
    // On Linux the on-board ports ttyS0 to ttyS31 are listed whether or not anything is behind them.
    return ports.filter((port) => port.vendorId !== undefined || !/\/ttyS\d+$/.test(port.path));
  } catch {
    return [];
  }
};

/** One port in a line, such as `/dev/ttyACM0  Arduino (2341:0043)`. */
export function describePort(port: PortListing): string {
  const usb = port.vendorId === undefined ? '' : ` (${port.vendorId}:${port.productId ?? '?'})`;
  return `${port.path}  ${port.manufacturer ?? ''}${usb}`.trimEnd();
}

/** The same device by what USB says of it, whatever path it got; false where it says nothing. */
export const sameDevice = (one: PortListing, other: PortListing): boolean =>
  one.vendorId !== undefined &&
  one.vendorId === other.vendorId &&
  one.productId === other.productId &&
  one.serialNumber === other.serialNumber;
