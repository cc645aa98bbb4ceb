"""What readings of torque tools say: deviation, uncertainty, comparison, drift, look-back.

readings       one calibrated point: deviations, every-reading rule, uncertainty budget, W and W'
comparison     one tool against another: normalized error, paired pulls, limits of agreement
gauge_study    repeatability and reproducibility: average and range, analysis of variance
control        control charts: constants, EWMA, CUSUM, run rules, how often they signal
capability     Cp, Cpk, Cpm and short-run Cm, Cmk, with their intervals
conformity     probability of conformance, guard bands, risk of wrong decisions
intervals      when to calibrate again: reliability target, staircase
straight_line  fitted line with its uncertainty: drift and its prediction bound
look_back      what a tool found out may have done to earlier pulls
summary        mean, standard deviation and autocorrelation without loss of digits

Relative figures are in percent where their name says so. Pure functions; plain numbers or arrays
in, frozen results out.
"""
