import { setTimeout as sleep } from 'node:timers/promises';
import { BrokerLink } from '../room/broker-link.ts';
import { jsonOf, readRoomState } from '../room/messages.ts';
import { type RoomUrl, roomLogin } from '../room/room-url.ts';
import { stationLogins } from '../room/station-credential.ts';
import { heardByStation, roomTopic, stationTopic } from '../room/topics.ts';

const PATIENCE_MS = 6000;
const LOOK_MS = 50;

/** Whether the broker of a room answers, lets this station in, and the room is there; in words. */
export async function lookAtRoom(
  url: RoomUrl,
  station: string,
  home: string,
): Promise<{ well: boolean; text: string }> {
  const login = roomLogin(process.env);
  let trouble = 'it does not answer';
  let isThere = false;
  const link = new BrokerLink({
    ...{ broker: url.broker, ca: login.ca, logins: stationLogins(home, url, station, login) },
    hears: heardByStation(url.room, station),
    will: { topic: stationTopic(url.room, station), payload: jsonOf({ v: 1, up: false }) },
    heard: (topic, payload) => {
      if (topic === roomTopic(url.room)) isThere = readRoomState(payload)?.up === true;
    },
    turned: () => {},
    refused:
      'it refuses this computer: see TENWIRE_ROOM_TOKEN, or TENWIRE_ROOM_USER and TENWIRE_ROOM_PASSWORD',
    trouble: (text) => {
      trouble = text;
    },
  });
  for (let waited = 0; waited < PATIENCE_MS && !(link.isUp && isThere); waited += LOOK_MS)
    await sleep(LOOK_MS);
  const isUp = link.isUp;
  await link.close();
  if (!isUp) return { well: false, text: `broker ${url.broker}: ${trouble}` };
  return isThere
    ? { well: true, text: `the room ${url.room} is there, and this computer is let in as ${station}` }
    : {
        well: false,
        text: `broker ${url.broker} answers, but no room ${url.room} is there: start it with tenwire room`,
      };
}
