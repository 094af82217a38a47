"""Some frames of a clip of unknown length, kept small and evenly apart."""

from simcore.video.frames import Image
from simcore.video.opencv import opencv

MOST = 16  # frames
WIDEST = 960  # pixels


class Samples:
    """Frames that are kept, by their number.

    Attributes
    ----------
    images : number of a frame to its picture, blue green red, made smaller
    shrunk : its width per that of the film
    """

    def __init__(self) -> None:
        self.images: dict[int, Image] = {}
        self.shrunk = 1.0
        self._every = 1

    def offer(self, number: int, image: Image) -> None:
        """Keep a frame if its turn has come; of too many every other one is dropped."""
        if number % self._every:
            return
        self.shrunk = min(1.0, WIDEST / image.shape[1])
        cv2 = opencv()
        size = (round(image.shape[1] * self.shrunk), round(image.shape[0] * self.shrunk))
        small = cv2.resize(image, size, interpolation=cv2.INTER_AREA) if self.shrunk < 1.0 else image.copy()
        self.images[number] = small
        if len(self.images) > MOST:
            self._every *= 2
            self.images = {k: one for k, one in self.images.items() if k % self._every == 0}
