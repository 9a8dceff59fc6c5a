"""What a supply takes in: in: the power it gives and its efficiency, out: the current it draws from its adapter."""

from fractions import Fraction


def needed_input(output: Fraction, efficiency: Fraction, voltage: Fraction) -> Fraction:
    """The input current in mA of a supply that gives ``output`` W, at ``efficiency`` % and an input of ``voltage`` V.

    Power in = power out / efficiency. (A linear regulator from 12 V to 5 V at 1 A: 5 W out, 41.7 %, 12 W in, 1 A.)
    """
    return output * 100 / efficiency / voltage * 1000
