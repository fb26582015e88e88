// What each channel adds to the sum, by band and seat.
import {html, table, tick} from "../parts/elements";
import {signedDecibels} from "../parts/units";
import {contributions} from "./contributions";
import type {Section} from "../parts/page";
import {fill, words} from "../words";

/** Contribution at which a cell has its full colour, dB. */
const FULL_DB = 10;
/** A channel this far below the sum gets a dot instead of a number, dB. */
const FAR_BELOW_DB = 30;
/** A channel that adds more than this plays almost alone, and the number would only say how quiet the others are, dB. */
const MOST_DB = 20;

function cell(added: number | null, alone: number | null, sum: number | null): HTMLElement | string {
  if (added === null || alone === null || sum === null) return "";
  if (sum - alone > FAR_BELOW_DB) return html("span", {class: "nothing"}, "·");
  const strength = Math.min(Math.abs(added) / FULL_DB, 1) * 70;
  const ink = added < 0 ? "var(--cancels)" : "var(--adds)";
  return html("span", {class: "contribution", style: `background: color-mix(in srgb, ${ink} ${strength.toFixed(0)}%, transparent)`}, added > MOST_DB ? `>${MOST_DB}` : signedDecibels(added));
}

export const shareSection: Section = {
  id: "share",
  title: words.sections.share,
  make({model, chooser}) {
    if (!model.file.has("/response/channel") || !model.file.has("/response/signal") || !model.scene.known || model.frequency.length < 3) return null;
    const tables = html("div", {});
    let thirds = false;

    function follow(): void {
      const {preset, seats, channels, signal} = chooser.now;
      tables.replaceChildren(
        ...seats.map((seat) => {
          const found = contributions(model, preset, seat, signal, thirds ? 3 : 1)!;
          const shown = found.rows.filter(({channel}) => channels.includes(channel));
          const caption = fill(words.share.caption, {seat: model.seats[seat], preset: model.presets[preset], signal: words.choose.signals[signal]});
          const whole = (name: string, values: (number | null)[]) => [name, ...values.map((value) => (value === null ? "" : signedDecibels(value, 0).replace("+", "")))];
          return table(
            caption,
            [{head: words.share.channel}, ...found.bands.map((band) => ({head: band.name, right: true}))],
            [
              ...shown.map((row) => [model.channels[row.channel], ...row.added_db.map((added, at) => cell(added, row.alone_db[at], found.sum_db[at]))]),
              whole(words.share.sum, found.sum_db),
              whole(words.share.lost, found.lost_db)
            ],
            {class: "contributions", "data-seat": model.seats[seat]}
          );
        })
      );
    }

    chooser.on(["preset", "seats", "channels", "signal"], follow, tables);
    follow();
    return html(
      "div",
      {},
      html("p", {}, words.share.how),
      tick(words.share.thirds, thirds, (checked) => {
        thirds = checked;
        follow();
      }),
      tables
    );
  }
};
