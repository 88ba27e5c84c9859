"""What stands where: solids, motions, nipples and passages in one frame."""
