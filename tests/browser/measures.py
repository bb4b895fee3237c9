"""What is measured inside the browser, in its own language."""

from __future__ import annotations

from typing import Final

OVERLAPS: Final = """() => [...document.querySelectorAll("svg.picture")].flatMap((svg) => {
  const boxes = [...svg.querySelectorAll("text")].map((text) => {
    // The ink is smaller than the line's box by its leading, which may touch the next.
    const box = text.getBoundingClientRect(), up = text.hasAttribute("transform"), trim = 0.15;
    const dx = up ? box.width * trim : 0, dy = up ? 0 : box.height * trim;
    const [left, top, right, bottom] = [box.left + dx, box.top + dy, box.right - dx, box.bottom - dy];
    return {text: text.textContent, left, top, right, bottom};
  });
  const meet = (one, other) => one.left < other.right - 0.5 && other.left < one.right - 0.5
    && one.top < other.bottom - 0.5 && other.top < one.bottom - 0.5;
  return boxes.flatMap((one, index) => boxes.slice(index + 1).filter((other) => meet(one, other))
    .map((other) => `${svg.querySelector("title").textContent.slice(0, 40)}: ${one.text} / ${other.text}`));
})"""
"""Texts of a picture that lie on one another."""

OUTSIDE: Final = """() => [...document.querySelectorAll("svg.picture")].flatMap((svg) => {
  const frame = svg.getBoundingClientRect();
  const sticksOut = (box) => box.left < frame.left - 1 || box.right > frame.right + 1
    || box.top < frame.top - 1 || box.bottom > frame.bottom + 1;
  return [...svg.querySelectorAll("text")].filter((text) => sticksOut(text.getBoundingClientRect()))
    .map((text) => text.textContent);
})"""
"""Texts that stick out of their picture."""

SIZES_IN_PICTURES: Final = """() => [...document.querySelectorAll("svg.picture")].flatMap((svg) => {
  const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  return [...svg.querySelectorAll("text")].map((text) =>
    [text.getAttribute("font-size") * scale,
      text.getAttribute("font-weight") === "bold" && /^[0-9]+$/.test(text.textContent)]);
})"""
"""Size in pixels of each text in a picture, and whether it is a drop's number."""

CARDS: Final = """() => [...document.querySelectorAll(".step label")].map((card) =>
  [card.getBoundingClientRect().height, parseFloat(getComputedStyle(card.querySelector(".what")).fontSize)])"""
"""Height of each step's card, and size of its letters."""

MARKED_NEXT: Final = """() => [...document.querySelectorAll(".step .what")]
  .filter((what) => getComputedStyle(what, "::before").content === '"NEXT"')
  .map((what) => what.closest("label").querySelector("input").id)"""
"""The steps that the style marks as the next one."""

MARKERS: Final = """() => [...document.querySelectorAll("svg.picture")].forEach((svg, index) => {
  const box = svg.viewBox.baseVal;
  for (const [word, y] of [["TOP", box.y + 6], ["MID", box.y + box.height / 2], ["END", box.y + box.height - 1]]) {
    const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
    text.setAttribute("x", box.x + 60);
    text.setAttribute("y", y);
    text.setAttribute("font-size", "6");
    text.textContent = `${word}Q${index}Q`;
    svg.append(text);
  }
})"""
"""Writes a word at the top, the middle and the end of every picture."""

COLOURS: Final = """() => {
  const found = new Set();
  for (const each of document.querySelectorAll("body, body *")) {
    const style = getComputedStyle(each);
    for (const name of ["color", "backgroundColor", "borderTopColor", "fill", "stroke", "outlineColor"]) {
      const value = style[name];
      if (value && value.startsWith("rgb")) found.add(value);
    }
  }
  return [...found];
}"""
"""Every colour in use."""

BOXES: Final = """(svg) => {
  const frame = svg.getBoundingClientRect();
  return [...svg.querySelectorAll("text")].map((text) => {
    const box = text.getBoundingClientRect();
    const place = [box.left - frame.left, box.top - frame.top, box.width, box.height];
    return [text.textContent, ...place.map((px) => 2 * px)];
  });
}"""
"""Texts of one picture with their places, in the pixels of a screenshot at twice the size."""

CONTRASTS: Final = """async ([url, boxes]) => {
  const image = new Image();
  image.src = url;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const context = canvas.getContext("2d", {willReadFrequently: true});
  context.drawImage(image, 0, 0);
  const channel = (value) => value <= 0.03928 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  return boxes.map(([text, x, y, width, height]) => {
    const data = context.getImageData(x, y, Math.max(width, 1), Math.max(height, 1)).data, lights = [];
    for (let index = 0; index < data.length; index += 4) {
      const grey = (0.2126 * data[index] + 0.7152 * data[index + 1] + 0.0722 * data[index + 2]) / 255;
      lights.push(channel(grey));
    }
    lights.sort((a, b) => a - b);
    // What most of the box shows is the ground; the darkest is the ink.
    const ground = lights[Math.floor(lights.length * 0.75)], ink = lights[0];
    return [text, (ground + 0.05) / (ink + 0.05)];
  });
}"""
"""Contrast of each text with its ground, once the picture is grey."""

SIZES: Final = """(those) => [...document.querySelectorAll(those)].map((each) =>
  parseFloat(getComputedStyle(each).fontSize) * 0.75)"""
"""Size in points of the texts that a selector names."""
