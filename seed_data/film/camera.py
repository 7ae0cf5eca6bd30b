"""A phone beside the lane, as a pinhole: where it stands, how it is turned, and where it sees a place of the track."""

from dataclasses import dataclass

import numpy as np

LANE_M = 1.22  # m between the middles of the lane lines
WIDTH_PX, HEIGHT_PX = 1920, 1080


@dataclass(frozen=True)
class Phone:
    """A pinhole: place in m (along, across, up), turn (rows: right, down, ahead) and focal length in px."""

    place: np.ndarray
    turn: np.ndarray
    focal: float
    width: int = WIDTH_PX
    height: int = HEIGHT_PX

    def see(self, points: np.ndarray) -> np.ndarray:
        """Return where world points (n x 3, m) are seen, n x 2 px."""
        seen = (np.atleast_2d(points) - self.place) @ self.turn.T
        return np.asarray(self.focal * seen[:, :2] / seen[:, 2:] + [self.width / 2, self.height / 2])


def set_up(
    away: float = 7.0, high: float = 1.1, along: float = 2.2, yaw: float = 0.0, roll: float = 0.0, focal: float = 0.85,
    width: int = WIDTH_PX, height: int = HEIGHT_PX, aim: float = 0.6,
) -> Phone:  # fmt: skip
    """Stand a phone beside the lane: so far away, so high, turned by yaw and roll in degrees, aimed at a height."""
    yaw, roll, pitch = np.radians(yaw), np.radians(roll), np.arctan2(high - aim, away)
    ahead = np.array([np.sin(yaw) * np.cos(pitch), np.cos(yaw) * np.cos(pitch), -np.sin(pitch)])
    right = np.array([np.cos(yaw), -np.sin(yaw), 0.0])
    down = np.cross(ahead, right)
    turned = np.stack([np.cos(roll) * right + np.sin(roll) * down, np.cos(roll) * down - np.sin(roll) * right, ahead])
    return Phone(np.array([along, -away, high]), turned, focal * max(width, height), width, height)


def leaning(degrees: float, length: float) -> np.ndarray:
    """Return a limb of a length in m that leans so many degrees up from straight ahead."""
    return length * np.array([np.cos(np.radians(degrees)), 0.0, np.sin(np.radians(degrees))])
